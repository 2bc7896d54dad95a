import { OUTLINE_FIT, type DieOutline } from './fit/outline-fit.ts';
import { seenPose, type CardView, type TruePose } from '../fit/pose.ts';
import { foundPose, placeAt, poseShape, type FoundPose, type PoseShape } from '../fit/pose-search.ts';
import { outlineOf, type Outline } from '../geometry/outline.ts';
import { DIE_KINDS, dieSolid, type DieKind } from '../geometry/solid.ts';
import { BIN_EDGE } from './vision/edges.ts';
import { circleMisfit, foreignShare, shadeOf } from './vision/look.ts';
import { roughPoints, type RoughPoints } from './vision/outline.ts';
import type { Thing } from './vision/thing.ts';
import type { Picture } from '../vision/picture.ts';
import type { TipRadius } from './tips.ts';
import { movedBy, roundingOf, trace, TRACE, type Seen, type Traced } from './trace.ts';
import { straightened } from './straight-sides.ts';
import type { Reason } from './types.ts';

/** Limits of what is taken for a die; shares of the outline's width where no unit is given. */
export const BIN_DIE = {
  /** Share of a rough outline that must be free. */
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
  /** No die's faces are so many times as far apart as its outline is wide. */
  larger: 1.5,
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

const widthMm = (t: Thing, { camera, cameraFromCard }: CardView): number =>
  (Math.sqrt(t.area) * Math.hypot(...cameraFromCard.shift)) / camera.f;

function thingsDice(seen: Seen, thing: Thing): (MeasuredDie | OtherThing)[] {
  const rough = roughPoints(seen.picture, thing);
  const whole = poseIn(seen, thing, rough);
  if (whole && whole.misfit < BIN_DIE.plain) return [measuredDie(seen, thing, whole)];
  // A line that no die's outline makes lies beside the dice, is a shadow's border, or what a cup left.
  if (!(whole && whole.misfit < BIN_DIE.most) && (thing.thin || thing.hollow())) return [];
  const coloured = thing.core();
  if (coloured) {
    const core = poseIn(seen, coloured, roughPoints(seen.picture, coloured));
    if (core && core.misfit < BIN_DIE.plain && !(whole && whole.misfit < 2 * core.misfit)) {
      const die = measuredDie(seen, coloured, core, thing);
      return [die, ...reachingIn(seen, thing, [die])];
    }
  }
  const within = whole && whole.misfit < BIN_DIE.alone ? null : diceWithin(seen, thing);
  if (within) return within;
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

/** The dice of a thing that is made of several, by whichever way of parting it finds most of them; null where none does. */
function diceWithin(seen: Seen, thing: Thing): (MeasuredDie | OtherThing)[] | null {
  let best: (MeasuredDie | OtherThing)[] | null = null;
  let [most, others] = [0, 0];
  for (const way of thing.within) {
    const within = way();
    const things = [...seen.things.filter((t) => t !== thing), ...within];
    const found = within
      .filter((t) => widthMm(t, seen.view) > BIN_DIE.dust)
      .flatMap((t) => thingsDice({ ...seen, things }, t));
    const dice = found.filter((t) => t.code === 'die').length;
    const rest = found.length - dice;
    if (dice > most || (dice === most && dice > 0 && rest < others)) [best, most, others] = [found, dice, rest];
  }
  return best;
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
  if (rough.sigma.length < TRACE.points || free < BIN_DIE.free) return null;
  const found = foundPose(shape, view, rough, thing.area, rough.middle);
  // A straight line is a side of a die as large as one likes.
  return 2 * found.pose.size < BIN_DIE.larger * widthMm(thing, view) ? found : null;
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
  last = straightened(seen, thing, owner, last);
  pose = last.found.fit.pose;
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
