import { contains } from '../vision/bin-regions.ts';
import { foundPose, placeAt, poseShape, type FoundPose, type PoseShape } from '../fit/bin-search.ts';
import { OUTLINE_FIT, outlineFit, type DieOutline } from '../fit/bin-outline-fit.ts';
import { outlineRays, poseRows, seenPose, type CardView, type TruePose } from '../fit/bin-pose.ts';
import { faceShares, strayed } from '../fit/bin-uneven.ts';
import { wholeRadius } from '../fit/bin-whole.ts';
import { outlineOf, type Outline } from '../geometry/outline.ts';
import { DIE_KINDS, dieSolid, type DieKind } from '../geometry/solid.ts';
import { BIN_EDGE, binEdges, type BinEdges } from '../vision/bin-edges.ts';
import { plainOutside } from '../vision/bin-ground.ts';
import { circleMisfit, foreignShare, shadeOf } from '../vision/bin-look.ts';
import { roughPoints, type RoughPoints } from '../vision/bin-outline.ts';
import type { Thing } from '../vision/bin-regions.ts';
import type { Picture } from '../vision/picture.ts';
import { tipRadius, type TipRadius } from './bin-tips.ts';
import type { Reason } from './bin-types.ts';

/** Limits of what is taken for a die; shares of the outline's width where no unit is given. */
export const BIN_DIE = {
  /** Points of a rough outline that are needed, and the share of it that must be free. */
  points: 28,
  free: 0.4,
  /** A rough outline this near to a true die of the kind is one, whatever else it is like. */
  plain: 0.0035,
  /** Nearer than this to its own kind, no other kind is ever near enough to be asked. */
  alone: 0.006,
  /** Further off than this it is none. */
  most: 0.02,
  /** Another kind is named where it fits so many times better, and well. */
  better: 0.45,
  well: 0.006,
  /** Shares of an outline that follow the stage's border: of what reaches in, and of what stands off the stage. */
  reaching: 0.03,
  off: 0.4,
  /** Share of what lies round a thing's dice that has a colour of its own: more is no shadow. */
  foreign: 0.15,
  /** A coin's edge on the card is a circle within this. */
  circle: 0.004,
  /** Edges of rough outlines further off, px, are looked for so far away at first, px. */
  stray: 2.2,
  far: 14,
  /** Rounds of tracing; the last is that which sees so much of the outline and moves it by less, px. */
  rounds: 3,
  whole: 0.85,
  moved: 2.5,
  /** Points measured along an outline, about. */
  measured: 120,
  /** Smaller than this across, px, a die is not judged. */
  width: 60,
  /** Smaller than this across, mm, a thing is dust. */
  dust: 3,
  /** Share of the measured outline below which a die is not judged. */
  seen: 0.7,
} as const;

/** What is kept of a die's fit: numbers, as a bin may hold thousands of dice. */
export type DieFigures = Pick<
  DieOutline,
  'size' | 'sizeU' | 'radius' | 'radiusU' | 'departure' | 'departureU' | 'scale'
>;
export const dieFigures = ({ size, sizeU, radius, radiusU, departure, departureU, scale }: DieOutline): DieFigures => ({
  size,
  sizeU,
  radius,
  radiusU,
  departure,
  departureU,
  scale,
});

/** A die as measured in one photo, before it is judged. */
export interface MeasuredDie {
  readonly code: 'die';
  readonly pose: TruePose;
  readonly edges: Outline;
  readonly found: DieFigures;
  /** Rounding by the tips; null where too few are seen, and the outline's fit alone tells it. */
  readonly tips: TipRadius | null;
  readonly seen: number;
  /** Blur of its edge, px, one standard deviation: the width from a quarter to three quarters over that of a Gaussian. */
  readonly blur: number;
  readonly drawn: readonly number[];
  readonly reasons: readonly Reason[];
}

/** Something that was not measured as a die. */
export interface OtherThing {
  readonly code: 'thing';
  readonly x: number;
  readonly y: number;
  readonly drawn: readonly number[];
  readonly reason: Reason;
}

const shapes = new Map<string, PoseShape>();
/** The shape of a kind, worked out once. */
export function shapeOf(kind: DieKind, apex?: number): PoseShape {
  const key = `${kind} ${apex ?? ''}`;
  let shape = shapes.get(key);
  if (!shape)
    shapes.set(key, (shape = poseShape(apex === undefined ? dieSolid(kind) : dieSolid(kind, undefined, apex))));
  return shape;
}

/** All dice and other things of one photo, in the order of the things: largest first. */
export function diceIn(
  picture: Picture,
  view: CardView,
  things: readonly Thing[],
  stage: readonly [number, number, number],
  kind: DieKind,
  apex?: number,
): (MeasuredDie | OtherThing)[] {
  const shape = shapeOf(kind, apex);
  const seen: Seen = { picture, view, shape, stage, things };
  return things
    .filter((t) => widthMm(t, view) > BIN_DIE.dust)
    .flatMap((t): (MeasuredDie | OtherThing)[] => thingsDice(seen, t));
}

interface Seen {
  readonly picture: Picture;
  readonly view: CardView;
  readonly shape: PoseShape;
  readonly stage: readonly [number, number, number];
  readonly things: readonly Thing[];
}

const widthMm = (t: Thing, { camera, cameraFromCard }: CardView): number =>
  (Math.sqrt(t.area) * Math.hypot(...cameraFromCard.shift)) / camera.f;

function thingsDice(seen: Seen, thing: Thing): (MeasuredDie | OtherThing)[] {
  const rough = roughPoints(seen.picture, thing);
  const whole = poseIn(seen, thing, rough);
  if (whole && whole.misfit < BIN_DIE.plain) return [measuredDie(seen, thing, whole)];
  const coloured = thing.core();
  if (coloured) {
    const core = poseIn(seen, coloured, roughPoints(seen.picture, coloured));
    if (core && core.misfit < BIN_DIE.plain && !(whole && whole.misfit < 2 * core.misfit)) {
      const die = measuredDie(seen, coloured, core, thing);
      return [die, ...reachingIn(seen, thing, [die])];
    }
  }
  if (thing.parts().length > 1 && !(whole && isThisKind(seen, thing, rough, whole))) {
    const parts = thing.parts().map((t) => {
      const points = roughPoints(seen.picture, t);
      const pose = poseIn(seen, t, points);
      return { t, pose };
    });
    const dice = parts.filter(({ pose }) => pose && pose.misfit < BIN_DIE.most / 2);
    // Of a hand, too, some part may look like a die.
    const reaches = cutShare(thing) > BIN_DIE.reaching;
    if (dice.length > 0 && (!reaches || dice.length === parts.length)) {
      const found = parts.map(({ t, pose }): MeasuredDie | OtherThing => {
        if (!pose || pose.misfit >= BIN_DIE.most / 2) return other(seen, t, { code: 'touching' });
        const die = measuredDie(seen, t, pose, thing);
        // What its neighbour is cannot be told, and so not that it stands apart.
        const alone = die.code !== 'die' || dice.length === parts.length;
        return alone ? die : { ...die, reasons: [...die.reasons, { code: 'touching' }] };
      });
      return [...found, ...reachingIn(seen, thing, found)];
    }
  }
  if (whole && isThisKind(seen, thing, rough, whole)) return [measuredDie(seen, thing, whole)];
  return [other(seen, thing, whatElse(seen, thing, rough, whole))];
}

/** Says of what lies round dice and reaches in over the border that it does: a hand that takes them, and no shadow of theirs. */
function reachingIn(seen: Seen, thing: Thing, found: readonly (MeasuredDie | OtherThing)[]): OtherThing[] {
  if (cutShare(thing) <= BIN_DIE.reaching) return [];
  const { picture, view, shape, stage } = seen;
  const dice = found.flatMap((d) =>
    d.code === 'die' ? [outlineOf(seenPose(shape.vertices, view, d.pose), view.camera, 8).xy] : [],
  );
  return foreignShare(picture, thing, dice, stage) > BIN_DIE.foreign
    ? [other(seen, thing, { code: 'reaching-in' })]
    : [];
}

/** Share of an outline that follows the border instead of the thing. */
const cutShare = ({ cut }: Thing): number => cut.reduce((s, v) => s + v, 0) / cut.length;

function poseIn({ view, shape }: Seen, thing: Thing, rough: RoughPoints): FoundPose | null {
  const free = 1 - cutShare(thing);
  if (rough.sigma.length < BIN_DIE.points || free < BIN_DIE.free) return null;
  return foundPose(shape, view, rough, thing.area, rough.middle);
}

/** Other kinds' misfit of the same outline, least first. */
function otherKinds({ view, shape }: Seen, thing: Thing, rough: RoughPoints): { kind: DieKind; misfit: number }[] {
  return DIE_KINDS.filter((k) => k !== shape.solid.kind)
    .map((kind) => ({ kind, misfit: foundPose(shapeOf(kind), view, rough, thing.area, rough.middle).misfit }))
    .sort((a, b) => a.misfit - b.misfit);
}

/** An outline that is off a true die of the kind, but not like anything else: a die out of round. */
function isThisKind(seen: Seen, thing: Thing, rough: RoughPoints, { misfit }: FoundPose): boolean {
  if (misfit > BIN_DIE.most) return false;
  if (misfit < BIN_DIE.alone) return true;
  // What reaches in from the border shows too little of itself to be called a die out of round.
  if (cutShare(thing) > BIN_DIE.reaching) return false;
  const [best] = otherKinds(seen, thing, rough);
  if (best && best.misfit < BIN_DIE.better * misfit && best.misfit < BIN_DIE.well) return false;
  if (misfit < BIN_DIE.most / 2) return true;
  const round = circleMisfit(thing, (u, v) => placeAt(seen.view, u, v, 0));
  return !(best && best.misfit < 0.8 * misfit) && !(round < BIN_DIE.circle);
}

/** What a thing is that is no die of this kind. */
function whatElse(seen: Seen, thing: Thing, rough: RoughPoints, whole: FoundPose | null): Reason {
  const cut = cutShare(thing);
  if (cut > BIN_DIE.off) return { code: 'hidden' };
  if (cut > BIN_DIE.reaching) {
    const [like] = whole ? otherKinds(seen, thing, rough) : [];
    if (like && like.misfit < BIN_DIE.plain)
      return { code: 'other-kind', seen: like.kind, limit: seen.shape.solid.kind };
    return { code: 'reaching-in' };
  }
  if (shadeOf(seen.picture, thing, seen.stage) !== null) return { code: 'shadow' };
  const circle = circleMisfit(thing, (u, v) => placeAt(seen.view, u, v, 0));
  if (circle < BIN_DIE.circle) return { code: 'round', seen: Number(widthMm(thing, seen.view).toFixed(1)) };
  if (thing.parts().length > 1) return { code: 'touching', seen: thing.parts().length };
  if (!whole) return { code: 'hidden' };
  const [best] = otherKinds(seen, thing, rough);
  if (best && best.misfit < BIN_DIE.well) return { code: 'other-kind', seen: best.kind, limit: seen.shape.solid.kind };
  return { code: 'no-die', seen: `${(100 * whole.misfit).toFixed(1)} %`, limit: `${100 * BIN_DIE.most} %` };
}

function other({ view }: Seen, thing: Thing, reason: Reason): OtherThing {
  const n = thing.outline.length / 2;
  let [u, v] = [0, 0];
  for (let i = 0; i < n; i++) {
    u += thing.outline[2 * i]! / n;
    v += thing.outline[2 * i + 1]! / n;
  }
  const [x, y] = placeAt(
    view,
    u,
    v,
    reason.code === 'round' || reason.code === 'shadow' ? 0 : widthMm(thing, view) / 2,
  );
  return { code: 'thing', x, y, drawn: thinned(thing.outline, 48), reason };
}

function measuredDie(seen: Seen, thing: Thing, start: FoundPose, owner: Thing = thing): MeasuredDie | OtherThing {
  if (Math.sqrt(thing.area) < BIN_DIE.width)
    return other(seen, thing, { code: 'small', seen: Math.round(Math.sqrt(thing.area)), limit: BIN_DIE.width });
  let pose = start.pose;
  let last: Traced | null = null;
  let reach: number = start.misfit * Math.sqrt(thing.area) > BIN_DIE.stray ? BIN_DIE.far : BIN_EDGE.reach;
  for (let round = 0; round < BIN_DIE.rounds; round++) {
    const traced = trace(seen, thing, owner, pose, last?.found ?? null, reach);
    if (!traced) break;
    const still = traced.share > BIN_DIE.whole && movedBy(pose, traced.found) < BIN_DIE.moved;
    last = traced;
    pose = traced.found.fit.pose;
    reach = BIN_EDGE.reach;
    if (still) break;
  }
  if (!last) return other(seen, thing, { code: 'faint' });
  const { edges, found, share } = last;
  const reasons: Reason[] =
    share < BIN_DIE.seen
      ? [{ code: 'hidden', seen: Math.round(100 * share), limit: Math.round(100 * BIN_DIE.seen) }]
      : [];
  return {
    code: 'die',
    pose,
    edges,
    found: dieFigures(found),
    tips: roundingOf(seen, edges, found),
    seen: share,
    blur: edges.width / 1.349,
    drawn: thinned(edges.xy, 60),
    reasons,
  };
}

interface Traced {
  readonly edges: BinEdges;
  readonly found: DieOutline;
  /** Share of the whole outline that belongs to it. */
  readonly share: number;
}

/** Measures the edges along the outline of a die as it is believed, and fits it anew. */
function trace(
  seen: Seen,
  thing: Thing,
  owner: Thing,
  pose: TruePose,
  before: DieOutline | null,
  reach: number,
): Traced | null {
  const { picture, view, shape } = seen;
  const curve = outlineOf(seenPose(shape.vertices, view, pose), view.camera, 2);
  const { xy, normal, total } = sampled(seen, thing, owner, curve);
  if (before) follow(shape, view, before, xy, normal);
  const edges = binEdges(picture, xy, normal, reach);
  const found = edges.sigma.length >= BIN_DIE.points ? outlineFit(shape, view, edges, pose) : null;
  return found && { edges, found, share: found.good.reduce((s, v) => s + v, 0) / total };
}

/** How far an outline moved from one pose to the next, px, about. */
function movedBy(from: TruePose, { fit: { pose }, scale }: DieOutline): number {
  const turn = pose.size * Math.abs(pose.yaw - from.yaw);
  return (Math.hypot(pose.x - from.x, pose.y - from.y) + Math.abs(pose.size - from.size) + turn) / scale;
}

/** Straying moves a corner by so many times the departure: what an uneven die's rounding may be wrong by. */
const STRAYED = 2;

/** Rounding by the tips; of a die out of round, whose tips are cut by faces that stray, by the exact fit. */
function roundingOf({ picture, view, shape }: Seen, edges: Outline, found: DieOutline): TipRadius | null {
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
  const step = Math.max(1, Math.floor(curve.count / BIN_DIE.measured));
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

/** About `count` of an outline's points, rounded to a tenth of a pixel. */
function thinned(xy: ArrayLike<number>, count: number): number[] {
  const n = xy.length / 2;
  const step = Math.max(1, Math.floor(n / count));
  const out: number[] = [];
  for (let i = 0; i < n; i += step) out.push(Math.round(10 * xy[2 * i]!) / 10, Math.round(10 * xy[2 * i + 1]!) / 10);
  return out;
}

/** Times by which the fit's own doubt of a radius is too small: light along an edge that is wrong is taken for rounding. */
const FIT_DOUBT = 2;

/** Rounding of a measured die and its own standard uncertainty, mm: by its tips and by the fit, each by its weight. */
export function radiusOf({ tips, found }: MeasuredDie): { readonly value: number; readonly u: number } {
  const fit = { value: found.radius, u: FIT_DOUBT * found.radiusU };
  if (!tips) return fit;
  const tip = { value: tips.radius * found.scale, u: Math.max(1e-3, tips.u * found.scale) };
  // Of a die far out of round the exact fit alone tells: the linear one gives its radius what stray faces do.
  if (found.departure >= 2 * OUTLINE_FIT.strays * found.size) return tip;
  const [p, q] = [1 / tip.u ** 2, 1 / fit.u ** 2];
  return { value: (p * tip.value + q * fit.value) / (p + q), u: 1 / Math.sqrt(p + q) };
}
