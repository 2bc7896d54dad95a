import { passingRows } from '../fit/photo-rows.ts';
import { usualAtMost } from '../fit/doubt.ts';
import { photoForms, type TurnCheck } from '../fit/turn-check.ts';
import { median } from '../maths/linear.ts';
import { blurNote } from './look.ts';
import type { Measured } from './measured.ts';
import type { Note } from '../formats/result.ts';

/** Limits of what a fitted set is accepted with. */
export const AGREEMENT = {
  /** An edge agrees with the fitted die where it lies within this many px, or this share of the die's width if that is more. */
  px: 0.7,
  share: 0.003,
  /** Shares of the outline that must agree: below the first the photo is left out, below the second it is remarked on. */
  least: 0.5,
  usual: 0.6,
  /** No corner of a die is rounded as far as this share of its faces' mean distance: what seems so is a ball, or of another kind. */
  radius: 0.6,
  /** Fall of the cost from which another standing is believed, and its lead over other photos' falls. */
  gain: 10,
  lead: 2,
  /**
   * Other numbers are believed only if with them all photos fit to noise: cost per point at most `noise` (sets whose numbers are right have
   * 0.7 to 1.8, heavily compressed ones 2.2), and the given ones cost so many times as much; or for what they gain alone, held against
   * what a point still costs with them, since a misfit of any cause favours some turn in proportion (wrong fronts of a sample gain 29 to
   * 47 times that, its curled, sheared or blurred photos 12 to 19 times, a crowned d6 at half its size 23).
   */
  alternative: { noise: 2.5, better: 1.3, gain: 26 },
  /** A photo disagrees with its set where its cost per point is so many times the middle one's. */
  cost: 3.5,
  /** Photos that a set must have for the others to outvote one. */
  voters: { turn: 3, cost: 4 },
} as const;

/** What a fitted set says of one of its photos. */
export interface Verdict {
  readonly note: Note;
  /** Whether the set is to be measured again without it. */
  readonly leave: boolean;
}

/** Judges the photos of a fitted set: null where nothing is to be said. */
export function verdicts(m: Measured): (Verdict | null)[] {
  const shares = m.photos.map((_, i) => agreeingShare(m, i));
  const ball = Math.max(...m.state.radii) > (AGREEMENT.radius * sum(m.state.distances)) / m.state.distances.length;
  const misfits = shares.map((share): Verdict | null =>
    ball ? { note: { code: 'misfit', as: 'ball', needed: AGREEMENT.radius }, leave: true } : misfitAt(share),
  );
  // Where an outline is not this die's at all, numbers say nothing.
  if (misfits.some((v) => v?.leave)) return poorFirst(m, misfits);
  const turned = numberVerdicts(m);
  return poorFirst(
    m,
    misfits.map((v, i) => turned[i] ?? v),
  );
}

/** What a share of a photo's outline that agrees with the fitted die says of the photo; null where it is as usual. */
export function misfitAt(share: number): Verdict | null {
  const { least, usual } = AGREEMENT;
  if (share >= usual) return null;
  return { note: { code: 'misfit', as: 'of-length', seen: apart(share), needed: apart(usual) }, leave: share < least };
}

/** Where photos are at odds and some of them were poor from the start, those go first: they may have drawn the others off. */
function poorFirst(m: Measured, found: readonly (Verdict | null)[]): (Verdict | null)[] {
  const poor = m.used.map((a, i) => a.notes.find((n) => n.code !== 'turned-pixels') ?? blurNote(m.looks[i]!.blur));
  const atOdds = found.some((v) => v !== null && (v.leave || v.note.code === 'up-doubtful'));
  const many = poor.filter(Boolean).length;
  // What most photos share draws none of them off the rest.
  if (!atOdds || many === 0 || 2 * many > poor.length) return [...found];
  return poor.map((note) => note && { note, leave: true });
}

const sum = (values: Float64Array): number => values.reduce((s, v) => s + v, 0);
/** Per cent of its length. */
const apart = (agreeing: number): number => Math.round(100 * (1 - agreeing));

/** Share of the looked at outline that has an edge near the fitted die's. */
function agreeingShare(m: Measured, i: number): number {
  const { edges, outline } = m.rounds[i]!;
  let looked = 0;
  for (const c of edges.contrast) if (c !== 0) looked++;
  const width = Math.sqrt(m.used[i]!.survey.regions[0]!.area);
  const tolerance = Math.max(AGREEMENT.px, AGREEMENT.share * width);
  const { count, residual } = passingRows(m.state, m.photos[i]!, i, outline, false);
  let near = 0;
  for (let k = 0; k < count; k++) if (Math.abs(residual[k]!) < tolerance) near++;
  return near / Math.max(1, looked);
}

/** Photos whose numbers, or whose die, seem other than the rest of the set says. */
function numberVerdicts(m: Measured): (Verdict | null)[] {
  const { gain, lead, cost, voters } = AGREEMENT;
  const forms = photoForms(
    m.state,
    m.photos,
    m.rounds.map((r) => r.outline),
    usualAtMost(m.tau),
  );
  const { costs } = forms;
  const usual = median(costs.filter((c) => c !== null));
  const dear = costs.map((c) => c !== null && c > cost * usual);
  // What is read on the faces is not doubted for its outline's sake.
  const sure = m.used.map(({ numbersFrom: from }) => from === 'read' || from === 'confirmed');
  if (!dear.some(Boolean) && sure.every(Boolean)) return costs.map(() => null);
  const checks = forms.turnChecks();
  const gains = checks.map((c) => c?.gain ?? 0);
  const most = Math.max(...gains);
  const first = checks.find((c) => c !== null);
  // Where no numbers make the photos fit, something else is wrong: it is no reason to accuse any.
  const { noise, better, gain: alone } = AGREEMENT.alternative;
  const believed =
    first !== undefined && first.left < noise && (first.given > better * first.left || most > alone * first.left);
  const clear = m.photos.length >= voters.turn && gains.every((g) => g === most || lead * g < most);
  return checks.map((c, i) => {
    if (c && !sure[i] && believed && c.gain > gain && lead * c.gain >= most)
      return { note: turnNote(c, m.photos[i]!.shot), leave: clear };
    if (dear[i] && (most <= gain || !believed))
      return { note: unlikeNote(costs[i]! / usual), leave: m.photos.length >= voters.cost };
    return null;
  });
}

const turnNote = (c: TurnCheck, given: { readonly up: string; readonly front: string }): Note => ({
  code: 'up-doubtful',
  as: 'up-front',
  seen: `${c.up}/${c.front}`,
  needed: `${given.up}/${given.front}`,
});

const unlikeNote = (times: number): Note => ({ code: 'disagrees', seen: times.toFixed(1), needed: AGREEMENT.cost });
