import { hypot2 } from '../maths/hypot.ts';
import type { Outline } from '../geometry/outline.ts';
import { middleOf } from '../geometry/polygon.ts';
import type { Crop } from './picture.ts';
import type { Region } from './region.ts';

/** Points taken of a rough outline, about, and their sigma, px. */
export const ROUGH_OUTLINE = { points: 140, sigma: 3 } as const;

/** A rough outline's own share that is enough to leave out where something lay over it. */
const OWN = 0.5;

/** Another outline is a photo's where with it a true die departs by less than this share of what it does with the first. */
const SPARE = 0.7;

/** What fits a region's outline, or its spare one where that is a true die's so much rather. */
export function ofBetterOutline<T extends { readonly misfit: number }>(
  region: Region,
  fit: (region: Region) => T,
): { readonly fit: T; readonly spare: boolean } {
  const first = fit(region);
  if (!region.spare) return { fit: first, spare: false };
  const other = fit(withSpare(region));
  return other.misfit < SPARE * first.misfit ? { fit: other, spare: true } : { fit: first, spare: false };
}

/** A region with its spare outline for its own, where it has one. */
export const withSpare = (region: Region): Region =>
  region.spare ? { ...region, outline: region.spare, covered: null, spare: null } : region;

/** A rough outline thinned to {@link ROUGH_OUTLINE}.points points, with outward normals; without those where something lay. */
export function roughOutline(region: Region, crop: Crop): Outline {
  const n = region.outline.length / 2;
  const step = Math.max(1, Math.floor(n / ROUGH_OUTLINE.points));
  const all: number[] = [];
  const own: number[] = [];
  for (let k = 0; k < Math.floor(n / step); k++) {
    all.push(k * step);
    if (region.covered?.[k * step] !== 1) own.push(k * step);
  }
  const places = own.length > OWN * all.length ? own : all;
  const count = places.length;
  const xy = new Float64Array(2 * count);
  const normal = new Float64Array(2 * count);
  const [cx, cy] = middleOf(region.outline);
  for (let k = 0; k < count; k++) {
    const i = places[k]!;
    const [a, b] = [(i + n - 1) % n, (i + 1) % n];
    const tx = region.outline[2 * b]! - region.outline[2 * a]!;
    const ty = region.outline[2 * b + 1]! - region.outline[2 * a + 1]!;
    const length = hypot2(tx, ty) || 1;
    const [x, y] = [region.outline[2 * i]!, region.outline[2 * i + 1]!];
    const out = (ty * (x - cx) - tx * (y - cy)) / length < 0 ? -1 : 1;
    xy.set([x, y], 2 * k);
    normal.set([(out * ty) / length, (-out * tx) / length], 2 * k);
  }
  for (let k = 0; k < count; k++) {
    const moved = steepest(crop, xy[2 * k]!, xy[2 * k + 1]!, normal[2 * k]!, normal[2 * k + 1]!, 2 * region.grain + 2);
    xy[2 * k]! += moved * normal[2 * k]!;
    xy[2 * k + 1]! += moved * normal[2 * k + 1]!;
  }
  return {
    xy,
    normal,
    sigma: new Float64Array(count).fill(ROUGH_OUTLINE.sigma),
    byTerm: new Float64Array(0),
    terms: 0,
  };
}

/** Value of channel `c` at the pixel nearest to a place, px, or on the crop's rim where it lies beyond. */
function valueAt(crop: Crop, u: number, v: number, c: number): number {
  const x = Math.min(crop.width - 1, Math.max(0, Math.round(u) - crop.left));
  const y = Math.min(crop.height - 1, Math.max(0, Math.round(v) - crop.top));
  return crop.data[(y * crop.width + x) * crop.channels + c]!;
}

/** Way along the normal from a point to the steepest change of colour within `reach`, px. */
function steepest(crop: Crop, u: number, v: number, nu: number, nv: number, reach: number): number {
  const values = new Uint8Array(3 * (2 * reach + 5));
  for (let k = 0, t = -reach - 2; t <= reach + 2; t++)
    for (let c = 0; c < 3; c++, k++) values[k] = valueAt(crop, u + t * nu, v + t * nv, c);
  let best = 0;
  let at = 0;
  for (let t = -reach, k = 0; t <= reach; t++) {
    let change = 0;
    for (let c = 0; c < 3; c++, k++) change += Math.abs(values[k + 12]! + values[k + 9]! - values[k + 3]! - values[k]!);
    // Of equals the outer one: a number or a highlight lies inside.
    if (change >= best) [best, at] = [change, t];
  }
  return at;
}
