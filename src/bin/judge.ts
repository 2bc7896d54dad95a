import { normalShare } from '../maths/normal.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { radiusOf, type MeasuredDie, type OtherThing } from './die.ts';
import { keptText, reasonText } from '../text/bin-reasons.ts';
import { axisPerSize, BIN_NEEDED, meanAxisOf } from './reference.ts';
import type { BinDie, BinLimits, BinReference, Reason, Verdict } from './types.ts';
import type { Quantity } from '../formats/result.ts';

/** Standard uncertainties that one photo does not tell; each with its ground. */
export const BIN_TYPE_B = {
  /**
   * Where the half-way light lies against the die's edge, all edges alike, px: mirrored rim, tone, blur. Moves a width by twice that.
   * From rendered sets of known truth, which read 0 to 0.2 px apart.
   */
  edge: 0.15,
  /** The same for a radius: an edge moved outwards by one px sharpens a corner as much as a radius smaller by so many px does. */
  radius: 1.2,
  /** Share of the departure by which a die's mean axis may differ from what one view shows: axes it does not show. */
  unseenAxes: 0.5,
} as const;

/** How sure a verdict must be; else the die is looked at again. */
export const SURE = 0.95;

/** What all dice of a photo share. */
export interface PhotoDoubt {
  /** Relative standard uncertainties of the card's scale, which all dice share, of its x over y, and of the focal length. */
  readonly scale: number;
  readonly ratio: number;
  readonly focal: number;
  /** Distance of the camera from the card, mm. */
  readonly distance: number;
}

/** A die's numbers with all their doubt, and size and radius with what the dice of a bin do not share. */
interface Figures {
  readonly size: Quantity;
  readonly radius: Quantity;
  readonly departure: Quantity;
  readonly ownSizeU: number;
  readonly ownRadiusU: number;
}

function figures(solid: DieSolid, die: MeasuredDie, doubt: PhotoDoubt): Figures {
  const { departure, departureU, scale, sizeU } = die.found;
  const radius = radiusOf(die);
  const size = meanAxisOf(solid, die.found.size, radius.value);
  // A ratio that is wrong by so much makes an outline longer and another way shorter by half of it.
  const stretched = (doubt.ratio * size) / 4;
  const own = Math.hypot(axisPerSize(solid) * sizeU, BIN_TYPE_B.unseenAxes * departure, stretched);
  // The die's middle stands over the card: what is wrong with the camera's distance changes its scale by that share.
  const camera = size * doubt.focal * (die.pose.size / doubt.distance);
  const common = Math.hypot(2 * BIN_TYPE_B.edge * scale, camera, size * doubt.scale);
  return {
    size: { value: size, u: Math.hypot(own, common) },
    radius: { value: radius.value, u: Math.hypot(radius.u, BIN_TYPE_B.radius * scale) },
    departure: { value: departure, u: Math.hypot(departureU, stretched / Math.SQRT2) },
    ownSizeU: own,
    ownRadiusU: radius.u,
  };
}

interface Check {
  /** What is said where the limit is broken. */
  readonly reason: Reason & { readonly code: 'size' | 'radius' | 'departure' };
  /** Chance that the limit is kept. */
  readonly kept: number;
}

/** Holds a die against limits. What this view does not show is not judged. */
function checks(f: Figures, reference: BinReference, limits: BinLimits): Check[] {
  const out: Check[] = [];
  const relative = reference.source === 'bin';
  if (reference.size) {
    const off = f.size.value - reference.size.value;
    const u = Math.hypot(relative ? f.ownSizeU : f.size.u, reference.size.u);
    out.push({
      reason: { code: 'size', seen: round(off), limit: round(limits.size) },
      kept: normalShare((limits.size - off) / u) - normalShare((-limits.size - off) / u),
    });
  }
  const u = relative ? f.ownRadiusU : f.radius.u;
  out.push({
    reason: { code: 'radius', seen: round(f.radius.value), limit: round(limits.radius) },
    kept: normalShare((limits.radius - f.radius.value) / u),
  });
  out.push({
    reason: { code: 'departure', seen: round(f.departure.value), limit: round(limits.departure) },
    kept: normalShare((limits.departure - f.departure.value) / f.departure.u),
  });
  return out;
}

const round = (v: number): number => Number(v.toFixed(3));

/** Judges one die of a photo. */
export function judgedDie(
  solid: DieSolid,
  die: MeasuredDie,
  reference: BinReference,
  limits: BinLimits,
  doubt: PhotoDoubt,
  count: number,
): BinDie {
  const f = figures(solid, die, doubt);
  const all = checks(f, reference, limits);
  const broken = all.filter((c) => c.kept <= 1 - SURE).sort((a, b) => a.kept - b.kept);
  const doubtful = all.filter((c) => c.kept > 1 - SURE && c.kept < SURE).sort((a, b) => a.kept - b.kept);
  const hidden = die.reasons.length > 0;
  const noReference: Reason[] = reference.size ? [] : [{ code: 'no-reference', seen: count, limit: BIN_NEEDED }];
  const verdict: Verdict =
    broken.length > 0 && !hidden
      ? 'reject'
      : hidden || doubtful.length > 0 || broken.length > 0 || noReference.length > 0
        ? 'look-again'
        : 'keep';
  const reasons: Reason[] =
    verdict === 'keep'
      ? [{ code: 'within' }]
      : [
          ...die.reasons,
          ...broken.map((c) => c.reason),
          // A die that is rejected is not rejected for what it may keep.
          ...(verdict === 'reject'
            ? []
            : doubtful.map(({ reason }) => ({ ...reason, code: `near-${reason.code}` as const }))),
          ...noReference,
        ];
  const kept = all.reduce((s, c) => Math.min(s, c.kept), 1);
  return {
    x: round(die.pose.x),
    y: round(die.pose.y),
    size: rounded(f.size),
    radius: rounded(f.radius),
    departure: rounded(f.departure),
    verdict,
    sure: round(verdict === 'reject' ? 1 - broken[0]!.kept : kept),
    reason: said(reasons, f, reference, limits, verdict),
    reasons,
    rounding: rounding(f, reference, limits),
    seen: round(die.seen),
    outline: die.drawn,
  };
}

const rounded = ({ value, u }: Quantity): Quantity => ({ value: Number(value.toFixed(4)), u: Number(u.toFixed(4)) });

/** The reasons in words; a keeper's names its numbers. */
function said(
  reasons: readonly Reason[],
  f: Figures,
  reference: BinReference,
  limits: BinLimits,
  verdict: Verdict,
): string {
  if (verdict !== 'keep') return reasons.map((r) => reasonText(r)).join('; ');
  const size = reference.size ? ([f.size.value - reference.size.value, limits.size] as const) : null;
  return keptText({ size, radius: [f.radius.value, limits.radius], departure: [f.departure.value, limits.departure] });
}

/** Times by which a radius may differ from the reference's and still be alike, beyond its doubt. */
const ALIKE = 1.2;

function rounding(f: Figures, reference: BinReference, limits: BinLimits): BinDie['rounding'] {
  if (f.radius.value > limits.radius) return 'over';
  if (!reference.radius) return null;
  const { value, u } = reference.radius;
  const slack = Math.hypot(reference.source === 'bin' ? f.ownRadiusU : f.radius.u, u);
  if (f.radius.value > ALIKE * value + 2 * slack) return 'rounder';
  return f.radius.value < value / ALIKE - 2 * slack ? 'sharper' : 'alike';
}

/** A thing that is no die, or none that can be measured: always looked at again. */
export const judgedThing = ({ x, y, drawn, reason }: OtherThing): BinDie => ({
  x: round(x),
  y: round(y),
  size: null,
  radius: null,
  departure: null,
  verdict: 'look-again',
  sure: null,
  reason: reasonText(reason),
  reasons: [reason],
  rounding: null,
  seen: 0,
  outline: drawn,
});
