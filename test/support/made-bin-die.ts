import type { MeasuredDie } from '../../src/bin/die.ts';

/** A d6 of a bin, 8 mm from its middle to a face, whose outline departs by so many mm, known to 0.02 mm, at 0.1 mm a pixel; its edges are not kept. */
export const madeBinDie = (departure: number): MeasuredDie => ({
  code: 'die',
  pose: { x: 0, y: 0, size: 8, radius: 0.5, yaw: 0 },
  edges: {
    xy: new Float64Array(),
    normal: new Float64Array(),
    sigma: new Float64Array(),
    byTerm: new Float64Array(),
    terms: 0,
  },
  found: { size: 8, sizeU: 0.01, departure, departureU: 0.02, radius: 0.5, radiusU: 0.01, scale: 0.1 },
  tips: null,
  seen: 1,
  blur: 1,
  drawn: [],
  reasons: [],
});
