import { HIDDEN_ALIKE, type CrownPrior } from '../fit/crown-prior.ts';
import type { DieState } from '../fit/die-state.ts';
import type { Job } from '../formats/result.ts';
import type { Mm } from '../units.ts';

/**
 * What is believed of crowns where no photo grazes a face, mm: by the finish that the user names. Half-widths as common practice has them,
 * no published source; a 95 % half-width is twice the standard deviation given here.
 *
 * - moulded: as it left the mould. Faces are flat to 0.02 or sunk by shrinking, which jaws and outlines do not see.
 * - tumbled: the tumbler's medium takes more from the rims; crowns of 0.02 to 0.1 are met, all faces of one die much alike.
 * - polished: by hand or on a wheel; less than tumbling, less even.
 * - unknown: anything from flat to 0.07, and less on a die with sharp corners (see {@link OF_RADIUS}). Its mean is 0: of a die of which nothing
 *   is said the edges are told, and the doubt holds the rest.
 */
export const FINISH_PRIOR: Readonly<Record<'moulded' | 'tumbled' | 'polished' | 'unknown', CrownPrior>> = {
  moulded: { mean: 0, common: 0.01, own: 0.008 },
  tumbled: { mean: 0.045, common: 0.025, own: 0.012 },
  polished: { mean: 0.02, common: 0.02, own: 0.015 },
  unknown: { mean: 0, common: 0.035, own: 0.015 },
};

/**
 * What a die laid on glass and flicked says of the crown that its faces share, mm: one that spins or rocks is crowned, one that does neither is flat
 * (common practice, no published source).
 */
export const HAND_TEST: Readonly<Record<'spins' | 'still', { readonly mean: number; readonly u: number }>> = {
  spins: { mean: 0.05, u: 0.025 },
  still: { mean: 0, u: 0.01 },
};

/**
 * Crowns of a die of unknown finish over its mean corner radius, standard deviations of what its faces share and of each one's own. What crowns a
 * face takes its rims first: a die whose corners are still sharp has no high crowns (common practice, no published source; the factors were chosen
 * with sets in view: crowns of 0.03 to 0.08 at radii of 0.6, 0.03 to 0.05 at 0.9).
 */
export const OF_RADIUS = { common: 0.06, own: 0.025 } as const;

/** A mean crown further from the belief than so many of its standard deviations is none: the light beside the die is not as it is taken to be. */
const UNLIKELY = 3;

/** Up to where the crowns that a die's faces share are believed, mm. */
export const mostCrown = ({ mean, common }: CrownPrior): Mm => mean + UNLIKELY * Math.hypot(common, HIDDEN_ALIKE);

/** The belief where crowns were found that are higher than that: flat, or as high as that. */
export const doubtfulCrowns = (prior: CrownPrior, found: Mm): CrownPrior => ({
  ...prior,
  common: Math.max(prior.common, found),
});

/** What is believed of a die's crowns: its finish, what its mean corner radius leaves possible, and what the hand found. */
export function crownPrior({ finish, handTest }: Pick<Job, 'finish' | 'handTest'>, radius: Mm = Infinity): CrownPrior {
  const known = FINISH_PRIOR[finish ?? 'unknown'];
  const prior =
    (finish ?? 'unknown') !== 'unknown'
      ? known
      : {
          ...known,
          common: Math.min(known.common, OF_RADIUS.common * radius),
          own: Math.min(known.own, OF_RADIUS.own * radius),
        };
  if (!handTest) return prior;
  const test = HAND_TEST[handTest];
  const [w, v] = [1 / prior.common ** 2, 1 / test.u ** 2];
  return { ...prior, mean: (w * prior.mean + v * test.mean) / (w + v), common: 1 / Math.sqrt(w + v) };
}

/** The same for a die that was fitted, by the radii of its corners. */
export const crownPriorOf = (job: Pick<Job, 'finish' | 'handTest'>, { radii }: Pick<DieState, 'radii'>): CrownPrior =>
  crownPrior(job, radii.reduce((s, r) => s + r, 0) / radii.length);
