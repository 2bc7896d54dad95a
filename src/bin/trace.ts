import { faceShares } from './fit/face-shares.ts';
import { OUTLINE_FIT, outlineFit, type DieOutline } from './fit/outline-fit.ts';
import { outlineRays, poseRows, seenPose, type CardView, type TruePose } from '../fit/pose.ts';
import type { PoseShape } from '../fit/pose-search.ts';
import { strayed } from './fit/uneven.ts';
import { wholeRadius } from './fit/whole.ts';
import { outlineOf, type Outline } from '../geometry/outline.ts';
import { BIN_EDGE, binEdges, pickedEdges, type BinEdges, type EdgeLook } from './vision/edges.ts';
import { PLAIN, plainOutside } from './vision/ground.ts';
import { SRGB } from '../vision/tone.ts';
import { contains } from '../geometry/polygon.ts';
import type { Thing } from './vision/thing.ts';
import type { Picture } from '../vision/picture.ts';
import { tipRadius, type TipRadius } from './tips.ts';

export const TRACE = {
  /** Points of an outline that are needed, and measured along one, about. */
  points: 28,
  measured: 120,
  /** Share of points at which an outline may be lighter where else it is darker: a quarter is one side of a cube. */
  odd: 0.25,
  /** Light over the stage's that is not the stage any more. */
  lighter: 1.3,
} as const;

/** What all dice of a photo share. */
export interface Seen {
  readonly picture: Picture;
  readonly view: CardView;
  readonly shape: PoseShape;
  readonly stage: readonly [number, number, number];
  readonly things: readonly Thing[];
}

/** An outline traced once. */
export interface Traced {
  readonly edges: BinEdges;
  readonly found: DieOutline;
  /** Share of the whole outline that belongs to it. */
  readonly share: number;
  /** Points at which an edge was looked for. */
  readonly total: number;
}

/** Measures the edges along the outline of a die as it is believed, and fits it anew. */
export function trace(
  seen: Seen,
  thing: Thing,
  owner: Thing,
  pose: TruePose,
  before: DieOutline | null,
  reach: number,
  look: EdgeLook = BIN_EDGE,
): Traced | null {
  const { picture, view, shape } = seen;
  const curve = outlineOf(seenPose(shape.vertices, view, pose), view.camera, 2);
  const { xy, normal, total } = sampled(seen, thing, owner, curve);
  if (before) follow(shape, view, before, xy, normal);
  const edges = ownEdges(seen, binEdges(picture, xy, normal, reach, look));
  const found = edges.sigma.length >= TRACE.points ? outlineFit(shape, view, edges, pose) : null;
  return found && { edges, found, total, share: found.good.reduce((s, v) => s + v, 0) / total };
}

/**
 * Edge points that may be the die's: none of the print's, and where most of an outline is darker (or lighter) than what lies outside,
 * none of the few that are the other way round, nor any beyond which it is lighter than the stage: what was taken for the die's inside
 * there is the stage.
 */
function ownEdges({ view, stage }: Seen, edges: BinEdges): BinEdges {
  const { xy, normal, fall, outside, weights } = edges;
  const n = fall.length;
  const rising = fall.reduce((s, v) => s + (v > 0 ? 1 : 0), 0);
  const usual = 2 * rising >= n ? 1 : -1;
  const others = (usual > 0 ? n - rising : rising) / Math.max(1, n);
  const lightest = TRACE.lighter * SRGB.toLight(weights[0] * stage[0] + weights[1] * stage[1] + weights[2] * stage[2]);
  const kept: number[] = [];
  for (let k = 0; k < n; k++) {
    const odd = fall[k]! * usual < 0 && (others <= TRACE.odd || outside[k]! > lightest);
    const [u, v, nu, nv] = [xy[2 * k]!, xy[2 * k + 1]!, normal[2 * k]!, normal[2 * k + 1]!];
    if (!odd && plainOutside(view.camera, view.cameraFromCard, u, v, nu, nv, PLAIN.border)) kept.push(k);
  }
  return kept.length === n ? edges : pickedEdges(edges, kept);
}

/** How far an outline moved from one pose to the next, px, about. */
export function movedBy(from: TruePose, { fit: { pose }, scale }: DieOutline): number {
  const turn = pose.size * Math.abs(pose.yaw - from.yaw);
  return (Math.hypot(pose.x - from.x, pose.y - from.y) + Math.abs(pose.size - from.size) + turn) / scale;
}

/** Straying moves a corner by so many times the departure: what an uneven die's rounding may be wrong by. */
const STRAYED = 2;

/** Rounding by the tips; of a die out of round, whose tips are cut by faces that stray, by the exact fit. */
export function roundingOf({ picture, view, shape }: Seen, edges: Outline, found: DieOutline): TipRadius | null {
  if (found.departure < OUTLINE_FIT.strays * found.size) return tipRadius(picture, view.camera, edges, found);
  const { open, low, corner } = OUTLINE_FIT.tau;
  const near = { ...found.fit.pose, size: found.size };
  const whole = wholeRadius(shape.solid, view, edges, near, [open, low, corner]);
  if (!whole) return null;
  const u = Math.hypot(whole.u, STRAYED * found.departure);
  return { radius: whole.radius / found.scale, u: u / found.scale, corners: shape.solid.corners.length };
}

/** Boxes of things further apart than this do not disturb each other, px. */
const NEAR = 12;

/** Points of a curve outside which nothing but plain card lies. */
function sampled(
  { view, things }: Seen,
  thing: Thing,
  owner: Thing,
  curve: { readonly count: number; readonly xy: Float64Array; readonly normal: Float64Array },
): { xy: Float64Array; normal: Float64Array; total: number } {
  const step = Math.max(1, Math.floor(curve.count / TRACE.measured));
  const xy: number[] = [];
  const normal: number[] = [];
  let total = 0;
  const near = things
    .filter((t) => t !== owner && apart(t, thing) < NEAR)
    .flatMap((t) => (t.parts().length > 1 ? [...t.parts()] : [t]));
  if (owner.parts().includes(thing)) near.push(...owner.parts().filter((t) => t !== thing));
  for (let k = 0; k < curve.count; k += step) {
    total++;
    const [u, v, nu, nv] = [curve.xy[2 * k]!, curve.xy[2 * k + 1]!, curve.normal[2 * k]!, curve.normal[2 * k + 1]!];
    if (!plainOutside(view.camera, view.cameraFromCard, u, v, nu, nv)) continue;
    if (near.some((t) => contains(t.outline, u + 9 * nu, v + 9 * nv) || contains(t.outline, u + 4 * nu, v + 4 * nv)))
      continue;
    xy.push(u, v);
    normal.push(nu, nv);
  }
  return { xy: Float64Array.from(xy), normal: Float64Array.from(normal), total };
}

/** Distance between the boxes round two things, px. */
function apart(a: Thing, b: Thing): number {
  const range = (t: Thing, axis: 0 | 1): [number, number] => {
    let [lo, hi] = [Infinity, -Infinity];
    for (let i = axis; i < t.outline.length; i += 2) {
      lo = Math.min(lo, t.outline[i]!);
      hi = Math.max(hi, t.outline[i]!);
    }
    return [lo, hi];
  };
  return Math.max(
    ...([0, 1] as const).map((axis) => {
      const [p, q] = [range(a, axis), range(b, axis)];
      return Math.max(p[0], q[0]) - Math.min(p[1], q[1]);
    }),
  );
}

/** Moves points of the true die's outline to where stray faces put it. */
function follow(shape: PoseShape, view: CardView, first: DieOutline, xy: Float64Array, normal: Float64Array): void {
  const sigma = new Float64Array(xy.length / 2);
  const rays = outlineRays(view.camera, { xy, normal, sigma, byTerm: sigma, terms: 0 });
  const rows = poseRows(shape.vertices, view, first.fit.pose, rays);
  const moves = strayed(shape.solid, rows, faceShares(shape.solid, first.fit.pose, rows), first.uneven);
  for (let k = 0; k < sigma.length; k++)
    for (let a = 0; a < 2; a++) xy[2 * k + a]! += (moves[k]! - rows.residual[k]!) * normal[2 * k + a]!;
}
