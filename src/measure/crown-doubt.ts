import { elevations, GRAZED } from '../fit/grazed.ts';
import { believedCrowns, type CrownPrior, type FlatSight } from '../fit/crown-prior.ts';
import { shapeCount, type DieState } from '../fit/die-state.ts';
import type { Measured } from './measured.ts';

/** Parameters with the crowns among them, fitted or believed. */
export interface Crowned {
  readonly n: number;
  readonly covariance: Float64Array;
  /** Place of the first face's crown among the parameters. */
  readonly at: number;
  /** Per face, mm. */
  readonly values: Float64Array;
}

/** The fit's covariance with the crowns: its own where they were sought, else what is believed of them, set beside it. */
export function withBelievedCrowns(
  state: DieState,
  covariance: Float64Array,
  n: number,
  prior: CrownPrior,
  sights: readonly FlatSight[],
): Crowned {
  const faces = state.distances.length;
  if (state.crowns) return { n, covariance, at: shapeCount(state) - faces, values: state.crowns };
  const all = n + faces;
  const out = new Float64Array(all * all);
  const believed = believedCrowns(prior, faces, sights);
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) out[i * all + j] = covariance[i * n + j]!;
  for (let i = 0; i < faces; i++)
    for (let j = 0; j < faces; j++) out[(n + i) * all + n + j] = believed.covariance[i * faces + j]!;
  return { n: all, covariance: out, at: n, values: believed.values };
}

/** Which faces' crowns were seen: those that some photo sees edge-on, with light beside them that could be used, or that showed themselves flat. */
export function crownsSeen(
  { state, photos, rounds }: Pick<Measured, 'state' | 'photos' | 'rounds'>,
  sights: readonly FlatSight[] = [],
): boolean[] {
  const seen = Array.from(state.distances, (_, f) => sights.some(({ face }) => face === f));
  if (!state.crowns) return seen;
  photos.forEach((p, i) => {
    const over = elevations(state, p, i);
    for (const { face } of rounds[i]!.outline.grazing?.crowns ?? [])
      if (Math.abs(over[face]!) < GRAZED) seen[face] = true;
  });
  return seen;
}
