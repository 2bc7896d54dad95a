import { barDeviance, BUDDEN } from './published-bars.ts';

/** ln odds of the ends that an even body of six faces would give. */
const EVEN = Math.log(0.5);
const lnOdds = (p: number): number => Math.log(p / (1 - p));
const odds = (l: number): number => 1 / (1 + Math.exp(-l));

/** What published shares say of predicted ones: published effect = slope x predicted effect, in ln odds against even. */
export interface SlopeFit {
  readonly slope: number;
  /** Standard deviation of single bars about it, as a share of the effect; binomial chance taken out. */
  readonly scatter: number;
}

/** Step and ends of the search; finer would say no more than 15 bars do. */
const STEP = 0.01;

/**
 * Slope and scatter of the largest likelihood, the published effect of bar i taken as normal about slope x e_i with variance
 * (scatter e_i)^2 + 1 / (n p (1 - p)).
 *
 * @param fixed  A slope to keep to; null: the best is looked for.
 * @param use    Bars that are fitted.
 */
export function slopeFit(predicted: readonly number[], fixed: number | null, use: readonly number[]): SlopeFit {
  let best = { slope: 1, scatter: 0, cost: Infinity };
  const slopes = fixed === null ? Array.from({ length: 151 }, (_, i) => 0.5 + i * STEP) : [fixed];
  for (const slope of slopes)
    for (let scatter = STEP; scatter < 1; scatter += STEP) {
      const cost = use.reduce((s, i) => {
        const { off, variance } = missed(predicted[i], slope, scatter, i);
        return s + (off * off) / variance + Math.log(variance);
      }, 0);
      if (cost < best.cost) best = { slope, scatter, cost };
    }
  return best;
}

function missed(
  predicted: number,
  slope: number,
  scatter: number,
  i: number,
): { readonly off: number; readonly variance: number } {
  const p = BUDDEN.ends[i];
  const effect = lnOdds(predicted) - EVEN;
  const off = lnOdds(p) - EVEN - slope * effect;
  return { off, variance: (scatter * effect) ** 2 + 1 / (BUDDEN.throws[i] * p * (1 - p)) };
}

/** How far a published share lies from a predicted one, in the standard deviations that scatter and binomial chance allow. */
export function deviation(predicted: number, { slope, scatter }: SlopeFit, i: number): number {
  const { off, variance } = missed(predicted, slope, scatter, i);
  return off / Math.sqrt(variance);
}

/** Predicted shares with their effect times `slope`. */
export const sloped = (predicted: readonly number[], slope: number): number[] =>
  predicted.map((p) => odds(EVEN + slope * (lnOdds(p) - EVEN)));

/** Shares that fall as the bars get longer, the nearest to what was published (pool adjacent violators): no law of the ratio alone can do better. */
export function fallingShares(): number[] {
  const blocks: { share: number; throws: number; bars: number }[] = [];
  BUDDEN.ends.forEach((share, i) => {
    let block = { share: share as number, throws: BUDDEN.throws[i] as number, bars: 1 };
    while (blocks.length > 0 && blocks[blocks.length - 1].share < block.share) {
      const last = blocks.pop()!;
      const throws = last.throws + block.throws;
      block = {
        share: (last.share * last.throws + block.share * block.throws) / throws,
        throws,
        bars: last.bars + block.bars,
      };
    }
    blocks.push(block);
  });
  return blocks.flatMap(({ share, bars }) => Array<number>(bars).fill(share));
}

/** Bars held back together: every fifth, so that each fold has short, near and long ones. */
export const FOLDS = [0, 1, 2, 3, 4].map((f) => BUDDEN.ratio.flatMap((_, i) => (i % 5 === f ? [i] : [])));

/** What is left of held-back bars: their deviance, and how many lie within the stated 95 % interval. */
export interface HeldBack {
  readonly deviance: number;
  readonly within: number;
  readonly of: number;
}

/**
 * Chooses on four fifths of the bars, tries on the fifth, all five in turn.
 *
 * @param worlds  Predicted shares of the ends, per world: of several that one is taken whose own deviance on the fitted bars is least.
 * @param freeSlope  Whether the slope is fitted too.
 */
export function heldBack(
  worlds: readonly (readonly number[])[],
  freeSlope: boolean,
): HeldBack & { readonly chosen: readonly number[] } {
  let [deviance, within, of] = [0, 0, 0];
  const chosen: number[] = [];
  for (const fold of FOLDS) {
    const use = BUDDEN.ratio.map((_, i) => i).filter((i) => !fold.includes(i));
    const fits = worlds.map((w) => slopeFit(w, freeSlope ? null : 1, use));
    const cost = worlds.map((w, k) => barDeviance(sloped(w, fits[k].slope), 1e-4, use));
    const best = cost.indexOf(Math.min(...cost));
    chosen.push(best);
    deviance += barDeviance(sloped(worlds[best], fits[best].slope), 1e-4, fold);
    for (const i of fold) {
      of++;
      if (Math.abs(deviation(worlds[best][i], fits[best], i)) <= 1.96) within++;
    }
  }
  return { deviance, within, of, chosen };
}
