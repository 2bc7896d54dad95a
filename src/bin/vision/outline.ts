import type { Outline } from '../../geometry/outline.ts';
import { median } from '../../maths/linear.ts';
import type { Thing } from './thing.ts';
import type { Picture } from '../../vision/picture.ts';

export const ROUGH_POINTS = {
  /** Points kept of a rough outline, about. */
  count: 100,
  /** Believed of each, px, at least; and in reduced pixels. */
  sigma: 1.2,
  grain: 0.3,
  /** Share of the usual change of colour below which a point is taken for a shadow's, and how far inwards it is looked on, reduced px. */
  soft: 0.42,
  inwards: 12,
  /** Times by which such a point is trusted less where nothing steep lies further in. */
  doubtful: 5,
} as const;

/** A rough outline's points as the fit wants them, each moved to the steepest change of colour nearby. */
export interface RoughPoints extends Outline {
  /** Middle of the whole outline's area, px. */
  readonly middle: readonly [number, number];
}

/**
 * Those points of a thing's outline that follow the thing itself.
 *
 * Where the outline follows the border of a shadow, which is soft beside a die's edge, the first steep place further in is taken.
 */
export function roughPoints(picture: Picture, { outline, cut, grain }: Thing): RoughPoints {
  const n = cut.length;
  const step = Math.max(1, Math.floor(n / ROUGH_POINTS.count));
  const found: { u: number; v: number; nu: number; nv: number; change: number }[] = [];
  const reach = 2 * grain + 2;
  for (let i = 0; i < n; i += step) {
    if (cut[i]) continue;
    const [a, b] = [(i + n - 2) % n, (i + 2) % n];
    const tx = outline[2 * b]! - outline[2 * a]!;
    const ty = outline[2 * b + 1]! - outline[2 * a + 1]!;
    const length = Math.hypot(tx, ty) || 1;
    const [u, v, nu, nv] = [outline[2 * i]!, outline[2 * i + 1]!, ty / length, -tx / length];
    const { at, change } = steepest(picture, u, v, nu, nv, -reach, reach);
    found.push({ u: u + at * nu, v: v + at * nv, nu, nv, change });
  }
  const soft = ROUGH_POINTS.soft * median(found.map((p) => p.change));
  for (const p of found) {
    if (p.change >= soft) continue;
    for (let from = -reach; from > -ROUGH_POINTS.inwards * grain; from -= grain) {
      const { at, change } = steepest(picture, p.u, p.v, p.nu, p.nv, from - grain, from);
      if (change < soft) continue;
      p.u += at * p.nu;
      p.v += at * p.nv;
      p.change = change;
      break;
    }
  }
  const sigma = Math.max(ROUGH_POINTS.sigma, ROUGH_POINTS.grain * grain);
  return {
    xy: Float64Array.from(found.flatMap((p) => [p.u, p.v])),
    normal: Float64Array.from(found.flatMap((p) => [p.nu, p.nv])),
    sigma: Float64Array.from(found, (p) => (p.change < soft ? ROUGH_POINTS.doubtful * sigma : sigma)),
    byTerm: new Float64Array(0),
    terms: 0,
    middle: centroidOf(outline),
  };
}

/** Way along the normal to the steepest change of colour, px, and how much it changes; of equals the outer one: numbers lie inside. */
function steepest(
  picture: Picture,
  u: number,
  v: number,
  nu: number,
  nv: number,
  from: number,
  to: number,
): { readonly at: number; readonly change: number } {
  const { data, width, height, channels } = picture;
  const count = to - from + 5;
  const line = new Float64Array(3 * count);
  for (let k = 0; k < count; k++) {
    const t = k + from - 2;
    const x = Math.min(width - 1, Math.max(0, Math.round(u + t * nu)));
    const y = Math.min(height - 1, Math.max(0, Math.round(v + t * nv)));
    const p = (y * width + x) * channels;
    line[3 * k] = data[p]!;
    line[3 * k + 1] = data[p + 1]!;
    line[3 * k + 2] = data[p + 2]!;
  }
  let best = 0;
  let at = 0;
  for (let k = 2; k < count - 2; k++) {
    let change = 0;
    for (let c = 0; c < 3; c++)
      change += Math.abs(line[3 * k + 6 + c]! + line[3 * k + 3 + c]! - line[3 * k - 3 + c]! - line[3 * k - 6 + c]!);
    if (change >= best) {
      best = change;
      at = k + from - 2;
    }
  }
  return { at, change: best };
}

/** Middle of the area in a closed outline. */
function centroidOf(xy: Float64Array): [number, number] {
  let [area, u, v] = [0, 0, 0];
  for (let i = 0; i < xy.length; i += 2) {
    const j = (i + 2) % xy.length;
    const w = xy[i]! * xy[j + 1]! - xy[j]! * xy[i + 1]!;
    area += w;
    u += w * (xy[i]! + xy[j]!);
    v += w * (xy[i + 1]! + xy[j + 1]!);
  }
  return area === 0 ? [xy[0]!, xy[1]!] : [u / (3 * area), v / (3 * area)];
}
