import { bilinear, medianSeen } from '../maths/linear.ts';
import { parameterCount, shapeCount, type DieState } from '../fit/die-state.ts';
import { HIDDEN_ALIKE } from '../fit/crown-prior.ts';
import { TERM_COUNT } from '../vision/profile.ts';
import { PRINT_PRIOR } from '../vision/print-scale.ts';
import { cardInfluences, commonEdge } from './fit-gates.ts';
import { minus, padded, type Linear } from './linear-lengths.ts';
import type { Doubt, Influence } from '../fit/doubt.ts';
import type { Outline } from '../geometry/outline.ts';
import type { BudgetLine } from '../formats/result.ts';
import type { Measured } from './measured.ts';

/** Standard uncertainties that no photo of the set can tell; each with its ground. */
export const TYPE_B = {
  /** Printed over designed length where nobody measured the check bars. */
  uncheckedScale: PRINT_PRIOR.common,
  /**
   * Where a picture's edge lies against the die's, all edges alike, px: tone curve, shape of the blur, light beyond the model.
   * From rendered sets of known truth with three cameras and seven dice; see measure/README.md.
   */
  commonEdge: 0.05,
  /** Share by which the rim's mirrored light may differ from the faces' own. */
  sheen: 0.25,
  /** How far the edges of all crowned faces seen edge-on may lie off together, px; see fit/README.md. */
  crownEdge: 0.15,
  /**
   * How far all outlines of a crowned die may lie in or out alike, px: what its rims mirror is looked up on the card to a cell and as one place for a
   * lobe. At known shape the top edges of a d6 seen from right above lay 0.08 in, its fit ended 0.2 in; a d20 0.01.
   */
  crownRim: 0.1,
  /**
   * How far each crown's own light may hide it, mm: at known shape grazing outlines scatter by 5 um (0.11 px) from face to face on a d6 seen from right
   * above. What lies on the stage is mirrored there, too: with 0.01 axes of a d6 that had dust beside it were told 83 um further apart than
   * they are, 3.5 standard uncertainties.
   */
  crownOwn: 0.015,
  /** Share by which the stage's shade beside the die may differ from an even sky's. */
  shade: 0.3,
  /** How many times larger the doubt of shape is on a surface that looks like metal; from one rendered set of known truth. */
  metal: 2.5,
} as const;

/** What moves the outlines or the lengths beside noise and camera. */
export function influencesOf(m: Measured): Influence[] {
  const { state, sheen } = m;
  const term = (t: number): Float64Array[] => m.rounds.map((r) => termsOf(r.outline, [1], t));
  const combined = (w: readonly number[]): Float64Array[] => m.rounds.map((r) => termsOf(r.outline, w, 0));
  const sigma = (k: number): number => Math.sqrt(Math.max(0, sheen.covariance[4 * k]!));
  return [
    {
      source: 'edge',
      u: Math.hypot(TYPE_B.commonEdge, commonEdge(m)),
      onPoints: m.rounds.map((r) => new Float64Array(r.outline.sigma.length).fill(1)),
      onParameters: null,
    },
    // All of the rim's light together, then what the faces leave open between its parts.
    {
      source: 'sheen',
      u: TYPE_B.sheen,
      onPoints: combined([sheen.mirror, sheen.rough, sheen.limb]),
      onParameters: null,
    },
    {
      source: 'sheen',
      u: Math.min(0.3, sigma(0)),
      onPoints: combined([
        1,
        -(sheen.covariance[1]! < 0 ? Math.min(2, -sheen.covariance[1]! / Math.max(1e-9, sheen.covariance[0]!)) : 0),
        0,
      ]),
      onParameters: null,
    },
    { source: 'sheen', u: Math.min(0.5, sigma(2)), onPoints: term(2), onParameters: null },
    ...cardInfluences(m),
    { source: 'shade', u: TYPE_B.shade, onPoints: term(6), onParameters: null },
    { source: 'sharpening', u: m.responseU, onPoints: term(3), onParameters: null },
    ...(m.open?.shifts ?? []).map((s) => ({
      source: 'front',
      u: 1,
      onPoints: null,
      onParameters: padded(s, parameterCount(state)),
    })),
    { source: 'scale', u: m.calibration.print.u, onPoints: null, onParameters: lengthsOf(state) },
    ...(state.crowns ? [grazingEdge(m), rimAlike(m), ...hiddenCrowns(state)] : []),
  ];
}

/** Of each of an outline's points what it moves by some terms from `first` on, each times its weight. */
function termsOf({ byTerm, sigma }: Outline, weights: readonly number[], first: number): Float64Array {
  const out = new Float64Array(sigma.length);
  for (let k = 0; k < out.length; k++)
    for (let t = 0; t < weights.length; t++) out[k]! += weights[t]! * byTerm[k * TERM_COUNT + first + t]!;
  return out;
}

/**
 * Crowns higher than they look: all together, since the light beside every face seen edge-on may be wrong alike (the threshold for standing out counts with
 * as much), and each by itself.
 */
function hiddenCrowns(state: DieState): Influence[] {
  const count = state.distances.length;
  const from = shapeCount(state) - count;
  const higher = (which: (face: number) => boolean): Float64Array =>
    Float64Array.from({ length: parameterCount(state) }, (_, i) =>
      i >= from && i < shapeCount(state) && which(i - from) ? 1 : 0,
    );
  const own = Array.from({ length: count }, (_, f) => higher((face) => face === f));
  return [
    { source: 'crown', u: HIDDEN_ALIKE, onPoints: null, onParameters: higher(() => true) },
    ...own.map((onParameters) => ({ source: 'crown', u: TYPE_B.crownOwn, onPoints: null, onParameters })),
  ];
}

/** All outlines further out by one px. */
const rimAlike = ({ rounds }: Measured): Influence => ({
  source: 'sheen',
  u: TYPE_B.crownRim,
  onPoints: rounds.map(({ outline: { sigma } }) => new Float64Array(sigma.length).fill(1)),
  onParameters: null,
});

/** All outlines of crowned faces further out by one px. */
function grazingEdge({ rounds }: Measured): Influence {
  const onPoints = rounds.map(({ outline: { sigma, grazing } }) =>
    Float64Array.from(sigma, (_, k) => (grazing && grazing.face[k]! >= 0 ? 1 : 0)),
  );
  return { source: 'crown', u: TYPE_B.crownEdge, onPoints, onParameters: null };
}

/** How the parameters grow with the card's scale, per unit of its logarithm; crowns hardly do. */
export const lengthsOf = (state: DieState): Float64Array =>
  Float64Array.from({ length: parameterCount(state) }, (_, i) =>
    i < state.distances.length ? state.distances[i]! : (state.radii[i - state.distances.length] ?? 0),
  );

/** What crowns that no photo showed add to the doubt, by what is believed of them. */
export function believedLine(
  axes: readonly Linear[],
  mean: Linear,
  at: number,
  cov: Float64Array,
  n: number,
): BudgetLine {
  const u = (row: Float64Array): number => {
    const crowns = row.slice().fill(0, 0, at);
    return Math.sqrt(Math.max(0, bilinear(crowns, cov, crowns, n)));
  };
  const differences = axes.flatMap((a, i) => axes.slice(0, i).map((b) => minus(a.row, b.row)));
  return { source: 'crown', meanAxis: u(mean.row), difference: medianSeen(differences.map(u)), meanRadius: 0 };
}

/** Standard uncertainty that each source alone gives to the mean axis, to differences of axes, and to the mean radius. */
export function budgetOf(doubt: Doubt, axes: readonly Linear[], mean: Linear, radius: Linear, n: number): BudgetLine[] {
  const differences = axes.flatMap((a, i) => axes.slice(0, i).map((b) => minus(a.row, b.row)));
  const line = (source: BudgetLine['source'], variance: (row: Float64Array) => number): BudgetLine => {
    const u = (row: Float64Array): number => Math.sqrt(Math.max(0, variance(row)));
    return { source, meanAxis: u(mean.row), difference: medianSeen(differences.map(u)), meanRadius: u(radius.row) };
  };
  const sources = [...new Set(doubt.influences.map((f) => f.source))] as BudgetLine['source'][];
  return [
    line('noise', (row) => bilinear(row, doubt.noise, row, n)),
    line('camera', (row) => bilinear(row, doubt.camera, row, n)),
    ...sources.map((s) => line(s, (row) => squaresAlong(doubt.influences, s, row))),
  ];
}

function squaresAlong(influences: Doubt['influences'], source: string, row: Float64Array): number {
  let sum = 0;
  for (const f of influences) if (f.source === source) sum += along(f.shift, row) ** 2;
  return sum;
}

function along(shift: Float64Array, row: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < row.length; i++) sum += row[i]! * shift[i]!;
  return sum;
}
