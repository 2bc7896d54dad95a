import { openTurns, type OpenAnswer } from '../fit/open-turns.ts';
import type { Added } from './look.ts';
import type { Measured } from './measured.ts';
import type { Work } from './photo-tasks.ts';

/** Times that a set is measured anew because other fronts fit better than those it was measured with. */
const ROUNDS = 2;

/** Measures photos some of whose fronts are open: with the fronts that fit best, and what the others would make of the shape. */
export function* withOpenFronts(
  used: readonly Added[],
  measure: (used: readonly Added[]) => Work<Measured>,
): Work<Measured> {
  let photos = used;
  for (let round = 0; ; round++) {
    const m = yield* measure(photos);
    if (!photos.some((a) => a.openFronts)) return m;
    const answer = answerOf(m);
    const same = answer.fronts.every(({ front }, i) => front === photos[i]!.shot.front);
    if (same || round === ROUNDS) return { ...m, open: answer };
    photos = photos.map((a, i) => ({ ...a, shot: { ...a.shot, front: answer.fronts[i]!.front } }));
  }
}

const answerOf = (m: Measured): OpenAnswer =>
  openTurns(
    m.state,
    m.photos,
    m.rounds.map((r) => r.outline),
    m.tau,
    m.used.map((a) => a.openFronts ?? null),
  );
