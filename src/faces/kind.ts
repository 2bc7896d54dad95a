import type { CardView } from '../fit/pose.ts';
import type { FoundPose } from '../fit/pose-search.ts';
import { DIE_KINDS, type DieKind } from '../geometry/solid.ts';
import { median } from '../maths/linear.ts';
import type { Crop } from '../vision/picture.ts';
import type { Region } from '../vision/region.ts';
import { diePose } from './die-pose.ts';
import { usualSolid } from './numberings.ts';

/** A die in one photo as it was found on the stage. */
export interface FoundDie {
  readonly view: CardView;
  readonly region: Region;
  readonly crop: Crop;
}

/**
 * When a kind is believed. Over 120 photos of 19 sets the right kind's outline lay 0.07 to 0.5 % of the die's width off, others' 0.5 to
 * 12 %; costs (Cauchy's, at a sigma of 3 px) of the next kind were 2.8 to 100 times the right one's, and at least 150 more.
 */
export const KIND = {
  /** Share of the width by which the outline may lie off in the middle photo; and below which the given kind is believed unasked. */
  misfit: 0.008,
  /** Rounding over inradius in the middle photo from which the outline is a ball's or a coin's; dice had up to 0.16. */
  radius: 0.3,
  unasked: 0.006,
  /** Photos that are asked at first. */
  photos: 3,
  /** Cost that one photo may hold against a kind. */
  most: 300,
  /** Lead over the next kind: cost per photo, and times the best one's cost. */
  lead: 50,
  times: 1.6,
} as const;

export interface ToldKind {
  /** Null where no kind fits, or two fit alike. */
  readonly kind: DieKind | null;
  /** The likeliest ones, best first, with the middle misfit in shares of the width. */
  readonly order: readonly { readonly kind: DieKind; readonly misfit: number }[];
}

/** The kind whose true outline fits the photos' dice, standing on a face; all six are tried. */
export function tellKind(dice: readonly FoundDie[]): ToldKind {
  const few = asked(dice.slice(0, KIND.photos));
  return few.kind !== null || dice.length <= KIND.photos ? few : asked(dice);
}

function asked(dice: readonly FoundDie[]): ToldKind {
  const fits = dice.map((d) => DIE_KINDS.map((kind) => diePose(usualSolid(kind), d.view, d.region, d.crop)));
  const best = fits.map((f) => Math.min(...f.map((p) => p.cost)));
  const order = DIE_KINDS.map((kind, k) => ({
    kind,
    misfit: median(fits.map((f) => f[k]!.misfit)),
    radius: median(fits.map((f) => f[k]!.pose.radius / f[k]!.pose.size)),
    cost: fits.reduce((s, f, i) => s + Math.min(f[k]!.cost, best[i]! + KIND.most), 0),
  })).sort((p, q) => p.cost - q.cost);
  const [first, second] = [order[0]!, order[1]!];
  const sure =
    dice.length > 0 &&
    first.misfit < KIND.misfit &&
    first.radius < KIND.radius &&
    second.cost > first.cost + KIND.lead * dice.length &&
    second.cost > KIND.times * first.cost;
  return { kind: sure ? first.kind : null, order };
}

/** Another kind that the photos show instead of the given one, or null where the given one fits or nothing better does. */
export function otherKind(given: DieKind, dice: readonly FoundDie[], poses: readonly FoundPose[]): DieKind | null {
  if (poses.length === 0 || median(poses.map((p) => p.misfit)) < KIND.unasked) return null;
  const told = tellKind(dice).kind;
  return told === given ? null : told;
}
