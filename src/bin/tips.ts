import { normalised, projection, type Camera } from '../geometry/camera.ts';
import type { DieOutline } from './fit/outline-fit.ts';
import type { Outline } from '../geometry/outline.ts';
import { median } from '../maths/linear.ts';
import { binEdges } from './vision/edges.ts';
import type { Picture } from '../vision/picture.ts';

export const TIPS = {
  /** Share of an edge's points left out at each end: there the corners begin. */
  ends: 0.2,
  /** Fewest points of an edge's line, and fewest corners of a mean. */
  points: 4,
  corners: 3,
  /** Turn from one edge to the next from which the corner between tells its rounding, radians. */
  turn: 0.2,
  /** Places on the arc, shares of the half turn. */
  places: [-0.6, -0.3, 0, 0.3, 0.6],
  /** Own offset of a tip, px: what pixels, blur and the lines beside it do to it. */
  tau: 0.12,
  /** Rounding that is looked for first, shares of the size. */
  start: 0.05,
  /** Tips further from their mean than so many usual distances are not counted: a gate mark, a number, a neighbour. */
  outlier: 4,
} as const;

/** Mean rounding of the corners that an outline shows, px at the die, and its standard uncertainty. */
export interface TipRadius {
  readonly radius: number;
  readonly u: number;
  readonly corners: number;
}

/** Straight stretch of an outline in undistorted px: a point, its outward normal, and where its ends lie. */
interface Line {
  readonly u: number;
  readonly v: number;
  readonly nu: number;
  readonly nv: number;
}

/**
 * Rounding of a die's corners from how far the tips stay behind where the straight edges beside them would meet.
 *
 * A ball's outline is a circle of its own radius; where two edges meet at a turn of `t`, an arc of radius `r` stays
 * `r (1 / cos(t / 2) - 1)` behind the sharp tip. Faces that stray move the edges, and with them the tip, but not this. Null where too few
 * corners stand between two measured edges.
 */
export function tipRadius(picture: Picture, camera: Camera, edges: Outline, found: DieOutline): TipRadius | null {
  const lines = edgeLines(camera, edges, found);
  const start = (TIPS.start * found.size) / found.scale;
  const tips: { readonly radius: number; readonly weight: number }[] = [];
  const asked = arcs(lines, start);
  const { xy, normal } = shown(camera, asked, start);
  const seen = binEdges(picture, xy, normal);
  // The points come back moved along their normals, those without an edge left out: each is told by its normal.
  let next = 0;
  for (const arc of asked) {
    let [xx, xr] = [0, 0];
    for (const p of arc.points) {
      const k = next;
      if (k >= seen.sigma.length || seen.normal[2 * k] !== p.normal[0] || seen.normal[2 * k + 1] !== p.normal[1])
        continue;
      next++;
      const [a, b] = straight(camera, seen.xy[2 * k]!, seen.xy[2 * k + 1]!);
      const reached = (a - arc.cu) * p.nu + (b - arc.cv) * p.nv - start;
      xx += p.share * p.share;
      xr += p.share * reached;
    }
    if (xx > 0) tips.push({ radius: start + xr / xx, weight: arc.depth * arc.depth });
  }
  return meanOf(tips);
}

function meanOf(tips: readonly { readonly radius: number; readonly weight: number }[]): TipRadius | null {
  if (tips.length < TIPS.corners) return null;
  const middle = median(tips.map((t) => t.radius));
  const usual = 1.4826 * median(tips.map((t) => Math.abs(t.radius - middle)));
  const used = tips.filter((t) => Math.abs(t.radius - middle) <= Math.max(TIPS.outlier * usual, 1e-9));
  const weight = used.reduce((s, t) => s + t.weight, 0);
  const mean = used.reduce((s, t) => s + t.weight * t.radius, 0) / weight;
  const scatter = used.reduce((s, t) => s + (t.weight * (t.radius - mean)) ** 2, 0) / weight ** 2;
  const own = (TIPS.tau * TIPS.tau) / weight;
  return {
    radius: Math.max(0, mean),
    u: Math.sqrt(Math.max(own, (scatter * used.length) / Math.max(1, used.length - 1))),
    corners: used.length,
  };
}

/** Picture position without the lens' bend, px about the principal point. */
const straight = (camera: Camera, u: number, v: number): [number, number] => {
  const [x, y] = normalised(camera, u, v);
  return [camera.f * x, camera.f * y];
};

/** Lines through the middles of the edge stretches, in their order round the outline. */
function edgeLines(camera: Camera, { xy, normal }: Outline, { shares, good }: DieOutline): Line[] {
  const runs: { readonly stretch: number; readonly points: number[] }[] = [];
  for (let k = 0; k < good.length; k++) {
    if (!good[k] || !shares.onEdge[k]) continue;
    const last = runs[runs.length - 1];
    if (last?.stretch === shares.stretch[k]) last.points.push(k);
    else runs.push({ stretch: shares.stretch[k]!, points: [k] });
  }
  const [first, last] = [runs[0], runs[runs.length - 1]];
  if (first && last && first !== last && first.stretch === last.stretch) {
    runs.pop();
    runs[0] = { stretch: first.stretch, points: [...last.points, ...first.points] };
  }
  return runs.flatMap(({ points }) => {
    const left = Math.floor(TIPS.ends * points.length);
    const used = points.slice(left, points.length - left);
    if (used.length < TIPS.points) return [];
    const places = used.map((k) => straight(camera, xy[2 * k]!, xy[2 * k + 1]!));
    const middle = used[used.length >> 1]!;
    return [lineThrough(places, normal[2 * middle]!, normal[2 * middle + 1]!)];
  });
}

/** Total least squares, with the normal on the outer side. */
function lineThrough(places: readonly (readonly [number, number])[], nu: number, nv: number): Line {
  const n = places.length;
  const [u, v] = [places.reduce((s, p) => s + p[0], 0) / n, places.reduce((s, p) => s + p[1], 0) / n];
  let [uu, uv, vv] = [0, 0, 0];
  for (const [a, b] of places) {
    uu += (a - u) ** 2;
    uv += (a - u) * (b - v);
    vv += (b - v) ** 2;
  }
  const along = Math.atan2(2 * uv, uu - vv) / 2;
  const [a, b] = [-Math.sin(along), Math.cos(along)];
  const sign = a * nu + b * nv < 0 ? -1 : 1;
  return { u, v, nu: sign * a, nv: sign * b };
}

interface Arc {
  /** Middle of the arc, undistorted px. */
  readonly cu: number;
  readonly cv: number;
  /** How far behind the sharp tip an arc of radius 1 stays. */
  readonly depth: number;
  readonly points: {
    readonly nu: number;
    readonly nv: number;
    readonly share: number;
    normal: readonly [number, number];
  }[];
}

/** Arcs of radius `start` between neighbouring lines. */
function arcs(lines: readonly Line[], start: number): Arc[] {
  return lines.flatMap((p, i): Arc[] => {
    const q = lines[(i + 1) % lines.length]!;
    if (p === q) return [];
    const det = p.nu * q.nv - p.nv * q.nu;
    const turn = Math.atan2(det, p.nu * q.nu + p.nv * q.nv);
    if (Math.abs(turn) < TIPS.turn || Math.abs(turn) > 2.4) return [];
    const a = p.nu * p.u + p.nv * p.v - start;
    const b = q.nu * q.u + q.nv * q.v - start;
    const [cu, cv] = [(a * q.nv - b * p.nv) / det, (b * p.nu - a * q.nu) / det];
    const middle = Math.atan2(p.nv + q.nv, p.nu + q.nu);
    const points = TIPS.places.map((t) => {
      const angle = middle + (t * turn) / 2;
      const [nu, nv] = [Math.cos(angle), Math.sin(angle)];
      // The point's move as one of the two lines and of the radius.
      const share = 1 - (nu * q.nv - nv * q.nu) / det - (p.nu * nv - p.nv * nu) / det;
      return { nu, nv, share, normal: [0, 0] as readonly [number, number] };
    });
    return [{ cu, cv, depth: 1 / Math.cos(turn / 2) - 1, points }];
  });
}

/** The arcs' points and normals as the picture shows them. */
function shown(camera: Camera, asked: readonly Arc[], start: number): { xy: Float64Array; normal: Float64Array } {
  const xy: number[] = [];
  const normal: number[] = [];
  for (const { cu, cv, points } of asked)
    for (const p of points) {
      const at = (r: number): readonly [number, number] =>
        projection(camera, [(cu + r * p.nu) / camera.f, (cv + r * p.nv) / camera.f, 1]);
      const [a, b] = [at(start), at(start + 1)];
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      p.normal = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
      xy.push(...a);
      normal.push(...p.normal);
    }
  return { xy: Float64Array.from(xy), normal: Float64Array.from(normal) };
}
