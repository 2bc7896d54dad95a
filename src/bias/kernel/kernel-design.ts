import type { DieKind } from '../../geometry/solid.ts';
import { seededNormal, seededRandom } from '../../maths/random.ts';
import { NOMINAL, trueShape, type DieShape } from '../die/die-shape.ts';

/**
 * How far the dice stray that kernels are fitted to: standard deviations of each face's distance, and of the centre of mass along each axis, both in mean
 * face distances; of the logarithm of each corner's radius. Chosen so that faces differ by about 8 % in their chances.
 */
export const SPREAD: Readonly<
  Record<DieKind, { readonly face: number; readonly mass: number; readonly radius: number }>
> = {
  d4: { face: 0.02, mass: 0.04, radius: 0.45 },
  d6: { face: 0.03, mass: 0.018, radius: 0.3 },
  d8: { face: 0.015, mass: 0.012, radius: 0.3 },
  d10: { face: 0.009, mass: 0.01, radius: 0.3 },
  d12: { face: 0.007, mass: 0.008, radius: 0.3 },
  d20: { face: 0.006, mass: 0.008, radius: 0.3 },
};

/** Mean corner radius of a fitted die, as a factor of the nominal one: evenly between the two. */
export const RADIUS_RANGE = [0.1, 1.9] as const;
/** Largest deviation taken, in standard deviations: no die of the design is impossible, and what strays farther is thrown. */
export const MOST = 2.2;

/**
 * Dice for a fit or its check, uneven in all ways at once, in pairs that stray oppositely: what is even in the deviations cancels.
 *
 * @param scale  Of {@link SPREAD}; 1 for fitting, less for dice as they are met.
 */
export function unevenDice(kind: DieKind, pairs: number, seed: number, scale: number): DieShape[] {
  const uniform = seededRandom(seed);
  const normal = seededNormal(uniform);
  const bounded = (): number => Math.max(-MOST, Math.min(MOST, normal()));
  const spread = SPREAD[kind];
  return Array.from({ length: pairs }, () => {
    const factor = RADIUS_RANGE[0] + (RADIUS_RANGE[1] - RADIUS_RANGE[0]) * uniform();
    const base = trueShape(kind, NOMINAL[kind].size, NOMINAL[kind].radius * factor);
    const faces = base.distances.map(() => scale * spread.face * bounded());
    const radii = base.radii.map(() => scale * spread.radius * bounded());
    const mass = [0, 0, 0].map(() => scale * spread.mass * bounded());
    return [1, -1].map((sign): DieShape => {
      const h = base.distances[0];
      const [x, y, z] = mass.map((m) => sign * m * h);
      return {
        ...base,
        distances: base.distances.map((d, i) => d * (1 + sign * faces[i])),
        radii: base.radii.map((r, i) => r * Math.exp(sign * radii[i])),
        massOffset: [x, y, z],
      };
    });
  }).flat();
}
