import type { DieState, FitPhoto } from '../fit/die-state.ts';
import { passingRows } from '../fit/photo-rows.ts';
import type { Outline } from '../geometry/outline.ts';
import { normalOf, SHAPE_PRIOR } from '../fit/normal-equations.ts';
import { usualAtMost } from '../fit/doubt.ts';
import { FAR_CUT } from '../fit/turn-check.ts';
import type { Influence } from '../fit/doubt.ts';
import { median } from '../maths/linear.ts';
import { colourAlone } from './camera-look.ts';
import { ACCEPT } from './look.ts';
import { displayBlurDoubt, processingOf } from './processing.ts';
import type { Measured } from './measured.ts';
import type { Note } from '../formats/result.ts';

/**
 * How well photos of undisturbed sets fit: ten sets of known truth of three cameras, 3 to 12 MP. From about one and a half times the worst
 * of them it is told, beyond the last figure nothing is reported; between them the misfit widens the doubt.
 */
export const FIT_GATES = {
  /** Scatter of one coordinate of a card point, px. Usual: 0.03 to 0.05. */
  card: { usual: 0.05, told: 0.075, most: 0.4 },
  /** Standard deviation of the offsets of outlines' stretches in the open, px. Usual: 0.01 to 0.16. */
  outline: { told: 0.24, most: 0.8 },
  /** Cost per point of the outlines, about 1/2 where they scatter as their sigmas say. Usual: 0.85 to 1.25. */
  cost: { usual: 1.3, told: 4, most: 40 },
  /** Blur of the die's edges, px, beyond which the shape of the blur counts: doubt grows in proportion. Usual: 0.3 to 0.75. */
  blur: 0.6,
} as const;

/**
 * Points that stray by more than so many px and so many of their sigmas, and the share of them from which a fit is not believed: undisturbed sets
 * have 0 to 0.032, wrong ones 0.1 to 0.34. Beyond it the doubt of shape grows by `doubt` per share, `most` times at most.
 */
export const STRAY = { px: 0.7, sigmas: 4, share: 0.06, doubt: 40, most: 10 } as const;

/** Share of all outlines' points that lie far off a fitted die. */
export function strayShare(state: DieState, photos: readonly FitPhoto[], outlines: readonly Outline[]): number {
  let [stray, all] = [0, 0];
  for (const [i, photo] of photos.entries()) {
    const { count, residual } = passingRows(state, photo, i, outlines[i]!, false);
    all += count;
    const { sigma } = outlines[i]!;
    for (let k = 0; k < count; k++) if (Math.abs(residual[k]!) > Math.max(STRAY.px, STRAY.sigmas * sigma[k]!)) stray++;
  }
  return all > 0 ? stray / all : 0;
}

const costs = new WeakMap<Measured, number>();

/** Cost per point of all outlines against the fitted die, no stretch excused beyond what is usual; worked out once. */
export function outlineCost(m: Measured): number {
  const known = costs.get(m);
  if (known !== undefined) return known;
  const outlines = m.rounds.map((r) => r.outline);
  const tau = usualAtMost(m.tau);
  const { cost } = normalOf(m.state, m.photos, outlines, SHAPE_PRIOR, FAR_CUT, tau);
  const perPoint =
    cost /
    Math.max(
      1,
      outlines.reduce((n, o) => n + o.sigma.length, 0),
    );
  costs.set(m, perPoint);
  return perPoint;
}

/** Why a fitted set is not to be reported at all, or null. */
export function beyondMeasure(m: Measured): Note | null {
  const { card, outline, cost } = FIT_GATES;
  if (m.calibration.sigma > card.most) return scatterNote('card-misfit', m.calibration.sigma, card.most);
  if (m.tau[0] > outline.most || outlineCost(m) > cost.most)
    return scatterNote('outline-misfit', m.tau[0], outline.most);
  return null;
}

/** What is remarked on a fitted set; the most likely cause alone. */
export function fitNotes(m: Measured): Note[] {
  const { card, outline, cost } = FIT_GATES;
  if (m.calibration.sigma > card.told) return [scatterNote('card-scatter', m.calibration.sigma, card.told)];
  return m.tau[0] > outline.told || outlineCost(m) > cost.told || straying(m) > STRAY.share
    ? [scatterNote('outline-scatter', m.tau[0], outline.told)]
    : [];
}

type ScatterCode = 'card-scatter' | 'card-misfit' | 'outline-scatter' | 'outline-misfit';
const scatterNote = (code: ScatterCode, seen: number, needed: number): Note => ({
  code,
  seen: seen.toFixed(2),
  needed,
});

/** How many times larger the variance of the shape is than its stretches' scatter says: by the misfit, and by blur. */
function looser(m: Measured): number {
  const blur = median(m.looks.map((l) => Math.max(l.blur.low, l.blur.high)));
  return Math.max(1, outlineCost(m) / FIT_GATES.cost.usual) * Math.max(1, blur / FIT_GATES.blur) ** 2;
}

/**
 * JPEG quality below which colour that alone tells die and stage apart is remarked on, and how many times larger the doubt of shape is then: the
 * format keeps it at half resolution, and coarsely. Half resolution alone (`half`) doubts it at any quality. From one set of known truth.
 */
const COLOUR_ALONE = { quality: 90, shape: 2.2, half: 1.5 } as const;

/** What is remarked where colour alone tells die and stage apart, and the files round it. */
export function colourNote(m: Measured): Note | null {
  const qualities = m.used.flatMap((a) => (a.coding ? [a.coding.quality] : []));
  const seen = Math.min(...qualities);
  if (!(seen < COLOUR_ALONE.quality) || !byColourAlone(m)) return null;
  return { code: 'colour-alone', seen, needed: COLOUR_ALONE.quality };
}

const byColourAlone = (m: Measured): boolean =>
  colourAlone(
    m.used,
    m.rounds.map((r) => r.outline),
  );

/** How many times larger the doubt of shape is where colour alone is compared. */
function colourDoubt(m: Measured): number {
  if (colourNote(m)) return COLOUR_ALONE.shape;
  return m.used.some((a) => a.coding !== null) && byColourAlone(m) ? COLOUR_ALONE.half : 1;
}

/** How many times larger the doubt of shape is by what was done to the photos: misfit, blur, programs, coarse colour. */
export const shapeDoubt = (m: Measured): number =>
  processingOf(m.used).shape * colourDoubt(m) * strayDoubt(m) * Math.sqrt(looser(m));

const straying = (m: Measured): number =>
  strayShare(
    m.state,
    m.photos,
    m.rounds.map((r) => r.outline),
  );
/** By points that stray, and by stretches that scatter beyond what is told: such stretches do not err each by itself. */
const strayDoubt = (m: Measured): number =>
  Math.min(STRAY.most, 1 + STRAY.doubt * Math.max(0, straying(m) - STRAY.share)) *
  Math.max(1, m.tau[0] / FIT_GATES.outline.told);

/** JPEG's steps of luma's longer waves, display values, and by how much rounding by them moved edges of rendered sets of known truth, px. */
const ROUNDING = { steps: 22, edge: 0.05 } as const;
/** How doubtful an edge's place is beside a blur of another shape than the model's, share of what the blur is over the usual. */
const OF_BLUR = 0.1;

/**
 * How far edges beside a stage whose light is cut off may lie in, share of their blur: where the stage is k times too bright, the blurred step passes
 * half of what shows at the place of the standard normal's 1 - 1 / 2k; k is not seen. For k of 1 to 3 that is 0 to 1, of which shaded sides have none.
 */
const OF_BURNT = 0.35;

/** How far all edges alike may lie off by what was done to the photos: a file's rounding, blur, light that is cut off, and programs that drew edges anew; px. */
export function commonEdge(m: Measured): number {
  const steps = Math.max(0, ...m.used.map((a) => a.coding?.coarse ?? 0));
  const blur = median(m.looks.map((l) => Math.max(l.blur.low, l.blur.high)));
  return Math.hypot(
    (ROUNDING.edge * steps) / ROUNDING.steps,
    OF_BLUR * Math.max(0, blur - FIT_GATES.blur),
    median(m.used.map((a) => Math.max(...a.survey.stage))) >= ACCEPT.burnt
      ? OF_BURNT * Math.max(blur, FIT_GATES.blur)
      : 0,
    processingOf(m.used).edge,
    displayBlurDoubt(m.used),
  );
}

/**
 * What the card's points scatter beyond what is usual is no noise: it moves each photo's outline by as much, in all photos alike (a bent card)
 * or in each by itself (a distorted picture).
 */
export function cardInfluences(m: Measured): Influence[] {
  const { usual } = FIT_GATES.card;
  const excess = Math.sqrt(Math.max(0, m.calibration.sigma ** 2 - usual ** 2));
  if (excess === 0) return [];
  const ones = m.rounds.map((r) => new Float64Array(r.outline.sigma.length).fill(1));
  const own = ones.map((_, i) => ones.map((o, j) => (i === j ? o : null)));
  return [ones, ...own].map((onPoints) => ({ source: 'outline', u: excess, onPoints, onParameters: null }));
}
