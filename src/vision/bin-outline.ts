import type { Outline } from '../geometry/outline.ts';
import type { Thing } from './bin-regions.ts';
import type { Picture } from './picture.ts';

export const ROUGH_POINTS = {
  /** Points kept of a rough outline, about. */
  count: 100,
  /** Believed of each, px, at least; and in reduced pixels. */
  sigma: 1.2,
  grain: 0.3,
} as const;

/** A rough outline's points as the fit wants them, each moved to the steepest change of colour nearby. */
export interface RoughPoints extends Outline {
  /** Middle of the box round the whole outline, px. */
  readonly middle: readonly [number, number];
}

/** Those points of a thing's outline that follow the thing itself. */
export function roughPoints(picture: Picture, { outline, cut, grain }: Thing): RoughPoints {
  const n = cut.length;
  const step = Math.max(1, Math.floor(n / ROUGH_POINTS.count));
  const xy: number[] = [];
  const normal: number[] = [];
  for (let i = 0; i < n; i += step) {
    if (cut[i]) continue;
    const [a, b] = [(i + n - 2) % n, (i + 2) % n];
    const tx = outline[2 * b]! - outline[2 * a]!;
    const ty = outline[2 * b + 1]! - outline[2 * a + 1]!;
    const length = Math.hypot(tx, ty) || 1;
    const [u, v, nu, nv] = [outline[2 * i]!, outline[2 * i + 1]!, ty / length, -tx / length];
    const t = steepest(picture, u, v, nu, nv, 2 * grain + 2);
    xy.push(u + t * nu, v + t * nv);
    normal.push(nu, nv);
  }
  const us = outline.filter((_, i) => i % 2 === 0);
  const vs = outline.filter((_, i) => i % 2 === 1);
  return {
    xy: Float64Array.from(xy),
    normal: Float64Array.from(normal),
    sigma: new Float64Array(xy.length / 2).fill(Math.max(ROUGH_POINTS.sigma, ROUGH_POINTS.grain * grain)),
    byTerm: new Float64Array(0),
    terms: 0,
    middle: [(Math.min(...us) + Math.max(...us)) / 2, (Math.min(...vs) + Math.max(...vs)) / 2],
  };
}

/** Way along the normal to the steepest change of colour within `reach`, px; of equals the outer one: numbers lie inside. */
function steepest(picture: Picture, u: number, v: number, nu: number, nv: number, reach: number): number {
  const { data, width, height, channels } = picture;
  const count = 2 * reach + 5;
  const line = new Float64Array(3 * count);
  for (let k = 0; k < count; k++) {
    const t = k - reach - 2;
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
      at = k - reach - 2;
    }
  }
  return at;
}
