import { median, nth } from '../maths/linear.ts';
import { LEAST_SURFACE, type Departure, type FaceView } from './face-departure.ts';
import { dilated, leave, without } from './masks.ts';

/**
 * What stands out of a face, or into it, shows as thin lights and shades that change with the light, over the even surface and beside the ink.
 *
 * All arrays: `size * size`, rows from the top, in the face's own frame as in `FacePicture`.
 */
export interface FaceRelief {
  readonly size: number;
  readonly umPerPx: number;
  /** 1 where something could have been seen: the face's land less its rim, less ink and what lies beside it. */
  readonly seen: Uint8Array;
  /** The same, less of the ink's surroundings taken away: where the size of a mark that was seen is judged. */
  readonly sized: Uint8Array;
  /** 1 where ink lies in most views. */
  readonly ink: Uint8Array;
  /** Mean over the views of squared departure from the even surface, in squares of the view's own noise; 1 where there is nothing. */
  readonly energy: Float32Array;
  /** Mean departure over the views, share of the surface's light; what is ink or colour shows here, too. */
  readonly mean: Float32Array;
  readonly views: number;
  /** Departure of each view in multiples of its noise. */
  readonly byView: readonly Float32Array[];
  /** The land less its rim. */
  readonly inner: Uint8Array;
  /** Noise of the mean departure of one pixel, share of the surface's light: median over the views. */
  readonly noise: number;
}

export const RELIEF = {
  /** Departure from which a pixel is ink: a share of the surface's light, and so many times the noise. Relief's flanks stay below (measured: 0.02 to 0.1). */
  ink: { share: 0.22, noise: 8, ofInk: 0.4 },
  /** Round the ink, px. */
  beside: 4,
  touching: 2,
  /** Share of views in which ink is ink. */
  most: 0.5,
} as const;

/** The relief of all faces, each from all its views; null for a face without one. */
export function faceReliefs(faces: readonly (readonly FaceView[])[]): (FaceRelief | null)[] {
  const strong: number[] = [];
  for (const views of faces) for (const { departure } of views) strongest(departure, strong);
  // One ink on a whole die: what departs much less than the ink is none, but a mark's bright or dark flank.
  const least = Math.max(RELIEF.ink.share, strong.length > 0 ? RELIEF.ink.ofInk * median(strong) : 0);
  return faces.map((views) => (views.length === 0 ? null : reliefOf(views, least)));
}

/** Adds the ink's own departure in one view to a list: the upper tenth of what departs like ink; nothing where hardly anything does. */
function strongest({ values }: Departure, to: number[]): void {
  const inky = roomFor(values.length);
  const n = takeInky(values, RELIEF.ink.share, inky);
  if (n >= LEAST_SURFACE) to.push(nth(inky.subarray(0, n), Math.floor(0.8 * n)));
}

/** Departures beyond a share of the light, either way; how many there are. */
function takeInky(values: Float32Array, share: number, to: Float32Array): number {
  let n = 0;
  for (let k = 0; k < values.length; k++) {
    const off = Math.abs(values[k]!);
    if (off > share) to[n++] = off;
  }
  return n;
}

/** Kept for the next view. */
let room = new Float32Array(0);
function roomFor(length: number): Float32Array {
  if (room.length < length) room = new Float32Array(length);
  return room;
}

function reliefOf(views: readonly FaceView[], leastInk: number): FaceRelief {
  const { size, umPerPx } = views[0]!.picture;
  const inner = seenByAll(views);
  const n = size * size;
  const sums: Sums = { inky: new Float32Array(n), energy: new Float32Array(n), mean: new Float32Array(n) };
  const byView: Float32Array[] = [];
  for (const { departure } of views) {
    const view = new Float32Array(n);
    addView(sums, departure, inner, views.length, Math.max(leastInk, RELIEF.ink.noise * departure.noise), view);
    byView.push(view);
  }
  const { energy, mean } = sums;
  const ink = atLeast(sums.inky, RELIEF.most);
  return {
    size,
    umPerPx,
    seen: without(inner, dilated(ink, size, RELIEF.beside)),
    sized: without(inner, dilated(ink, size, RELIEF.touching)),
    ink,
    energy,
    mean,
    views: views.length,
    byView,
    inner,
    noise: median(views.map(({ departure }) => departure.noise)),
  };
}

/** Over the views: shares in which there is ink, and the relief's energy and mean. */
interface Sums {
  readonly inky: Float32Array;
  readonly energy: Float32Array;
  readonly mean: Float32Array;
}

/** Adds one of `count` views, and puts what it departs by in multiples of its noise into `view`. @param limit  From which it is ink. */
function addView(
  { inky, energy, mean }: Sums,
  { values, noise }: Departure,
  inner: Uint8Array,
  count: number,
  limit: number,
  view: Float32Array,
): void {
  for (let k = 0; k < inner.length; k++) {
    if (inner[k] === 0) continue;
    const value = values[k]!;
    const z = value / noise;
    view[k] = z;
    energy[k]! += (z * z) / count;
    mean[k]! += value / count;
    if (Math.abs(value) > limit) inky[k]! += 1 / count;
  }
}

/** Where shares are as large as one, or larger. */
function atLeast(shares: Float32Array, least: number): Uint8Array {
  const out = new Uint8Array(shares.length);
  for (let k = 0; k < out.length; k++) if (shares[k]! >= least) out[k] = 1;
  return out;
}

/** What lies inside the rim in every view. */
function seenByAll([first, ...others]: readonly FaceView[]): Uint8Array {
  const out = first!.inner.slice();
  for (const { inner } of others) leave(out, inner);
  return out;
}
