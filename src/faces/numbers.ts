import type { Numbering } from '../geometry/numbering.ts';
import { dieSolid, type DieKind, type DieSolid } from '../geometry/solid.ts';
import { failure, success, type Result } from '../result.ts';
import { FACE_TURNS } from './face-frame.ts';
import { faceSight, readMore, SIGHT, sighted, type FacePhoto, type FaceSight, type Sight } from './face-sight.ts';
import { meantWays } from './front.ts';
import { jointWays } from './joint.ts';
import { otherKind, tellKind } from './kind.ts';
import { numberingGuesses, usualSolid, withSign, type NumberingGuess } from './numberings.ts';
import { faceLogs, guessLogs, learntNumbering } from './own-numbering.ts';
import { answers, CERTAINTY, told, type Found, type PhotoNumbers, type Tried } from './photo-numbers.ts';
import { leant } from './leaning.ts';
import { readingTrust } from './reading-trust.ts';
import { wayLogs, type ReadFace, type SlotReading } from './readings.ts';
import { PairLikenesses, relativeEvidence, type PairEvidence } from './relative.ts';
import { seenAgain } from './seen-again.ts';
import { turnTable, type TurnTable } from './turn-table.ts';

export const NUMBERS = {
  /**
   * Share that is believed of how much two photos' faces look alike: their pairs are wrong together (a highlight, a pose that is off), which
   * a sum of logs does not know.
   */
  believed: 0.7,
  /** The same of all planned ones of a set together: most dice lie as asked, which alone must never pass for reading. */
  planned: 1.5,
  /** Log by which one photo is held where the others are put in order round it. */
  anchor: 60,
} as const;

/** What is known of the die beforehand; null where nothing is. */
export interface NumbersAsked {
  readonly kind: DieKind | null;
  readonly numbering: Numbering | null;
  readonly apex?: number;
  /** Whether the kind given is not to be doubted, however the outlines fit. */
  readonly kindSure?: boolean;
}

export interface SetNumbers {
  readonly kind: DieKind;
  readonly kindFrom: 'given' | 'told';
  /** The numbering's solid: its labels are what `up` and `front` name. */
  readonly solid: DieSolid;
  /** Null for the usual one. */
  readonly numbering: Numbering | null;
  readonly numberingFrom: NumberingGuess['from'];
  readonly tens: boolean;
  /** In the order asked. */
  readonly photos: readonly PhotoNumbers[];
}

export type NumbersFault =
  | { readonly code: 'kind-unknown'; readonly seen: string }
  | { readonly code: 'other-kind'; readonly seen: DieKind; readonly needed: DieKind };

/**
 * Which numbers are up and in front in each photo of a die, from what its faces look like.
 *
 * Photos are put in order against one another by the looks of faces alone, then all faces together are read; so weak readings suffice.
 * Given numbers decide only where the faces do not; where they are at odds with the faces it is said.
 */
export function numbersOf(
  asked: NumbersAsked,
  photos: readonly FacePhoto[],
  read: ReadFace,
): Result<SetNumbers, NumbersFault> {
  const work = numbersFrom(asked, photos, read);
  const wanted = work.next();
  if (wanted.done) return wanted.value;
  const sights = photos.map((p, i) => faceSight(wanted.value.solid, p, i, read));
  return work.next(sights).value as Result<SetNumbers, NumbersFault>;
}

/** What is wanted of every photo: its {@link faceSight}, for this solid. */
export interface SightsWanted {
  readonly solid: DieSolid;
  /** May be told of each as soon as it is made, so that faces are compared while others are still looked at. */
  readonly made: (photo: number, sight: FaceSight) => void;
}

/** The same, stopping once: it says for which solid it needs {@link faceSight} of every photo, which may be made side by side. */
export function* numbersFrom(
  asked: NumbersAsked,
  photos: readonly FacePhoto[],
  read: ReadFace,
): Generator<SightsWanted, Result<SetNumbers, NumbersFault>, readonly FaceSight[]> {
  const shown = asked.kind === null ? tellKind(photos) : null;
  const kind = asked.kind ?? shown?.kind ?? null;
  if (kind === null) return failure({ code: 'kind-unknown', seen: shown!.order.slice(0, 2).map(kindOf).join(', ') });
  const first = dieSolid(kind, asked.numbering ?? undefined, asked.apex);
  const pairs = new PairLikenesses(FACE_TURNS[kind]);
  const seen = yield { solid: first, made: (photo, { looks }) => pairs.add(photo, looks) };
  const sights = photos.map((given, i) => sighted(given, seen[i]!, first));
  const poses = sights.map((s) => s.pose);
  const other = shown || asked.kindSure ? null : otherKind(kind, photos, poses);
  if (other !== null) return failure({ code: 'other-kind', seen: other, needed: kind });
  const together = readTogether(kind, asked.numbering, sights, read, pairs);
  return success({ ...together, kindFrom: shown ? 'told' : 'given' });
}

/**
 * The numbers of photos whose faces were straightened, of a die of known kind; see {@link numbersOf}.
 *
 * @param pairs  How alike the faces of some of them are, which need not be compared again.
 */
export function readTogether(
  kind: DieKind,
  numbering: Numbering | null,
  sights: readonly Sight[],
  read: ReadFace,
  pairs = new PairLikenesses(FACE_TURNS[kind]),
): Omit<SetNumbers, 'kindFrom'> {
  const table = turnTable(numbering === null ? usualSolid(kind) : dieSolid(kind, numbering));
  const turns = FACE_TURNS[kind];
  // One alone is compared with none.
  const looks = sights.length > 1 ? sights.map((s) => s.looks) : [];
  for (let i = 0; i < looks.length; i++) pairs.add(i, looks[i]!);
  const pair = relativeEvidence(table, turns, looks, pairs.rows).map((row) => row.map(believed));
  for (const s of sights) readMore(s, kind, read, SIGHT.readFirst);
  const readings = (): SlotReading[][] => leant(kind, sights.map(readingsOf));
  let found = guessed(table, pair, sights, readings(), numberingGuesses(kind, numbering));
  if (sights.some((s, i) => told(table, s, found, i).front === null)) {
    for (const s of sights) readMore(s, kind, read, s.pictures.length);
    found = guessed(table, pair, sights, readings(), numberingGuesses(kind, numbering));
  }
  if (numbering === null && !found[0].guess.corners) found = withOwn(table, pair, sights, readings(), found);
  const { guess } = found[0];
  return {
    kind,
    solid: guess.solid,
    numbering: guess.numbering,
    numberingFrom: guess.from,
    tens: guess.tens,
    photos: answers(table, pair, sights, found),
  };
}

const readingsOf = ({ readings }: Sight): readonly SlotReading[] => readings;

const kindOf = ({ kind }: { readonly kind: DieKind }): DieKind => kind;

function believed(logs: Float64Array): Float64Array {
  const out = new Float64Array(logs.length);
  for (let k = 0; k < out.length; k++) out[k] = NUMBERS.believed * logs[k]!;
  return out;
}

/** Tries all numberings twice: the likeliest one's ways tell which readings are of one face and how they agree, and so how far they count for the set. */
function guessed(
  table: TurnTable,
  pair: readonly (readonly PairEvidence[])[],
  sights: readonly Sight[],
  readings: readonly (readonly SlotReading[])[],
  guesses: readonly NumberingGuess[],
): Found {
  const all = guesses.map((guess) => ({ guess, own: ownLogs(table, guess, sights, readings) }));
  const once = all.map(({ guess, own }) => {
    const joint = jointWays(table, { own, pair });
    return { guess, way: joint.way, logs: joint.score + guess.prior };
  });
  const best = once.reduce((p, q) => (q.logs > p.logs ? q : p));
  const again = seenAgain(table, best.way, readings, readingTrust(table, best.guess, best.way, readings));
  const [first, ...rest] = all
    .map(({ guess, own }) => {
      const joint = jointWays(table, { own, shared: ownLogs(table, guess, sights, again), pair });
      return { guess, own, joint, logs: joint.score + guess.prior };
    })
    .sort((p, q) => q.logs - p.logs);
  const most = first!.logs;
  const sum = rest.reduce((s, t) => s + Math.exp(t.logs - most), 1);
  const shared = (t: Omit<Tried, 'share'> & { readonly logs: number }): Tried => ({
    ...t,
    share: Math.exp(t.logs - most) / sum,
  });
  return [shared(first!), ...rest.map(shared)];
}

/** What the faces of each photo say of its ways, and how it was meant to lie. */
const ownLogs = (
  table: TurnTable,
  guess: NumberingGuess,
  sights: readonly Sight[],
  readings: readonly (readonly SlotReading[])[],
): Float64Array[] =>
  sights.map((s, i) =>
    asPlanned(table, guess, s, wayLogs(table, guess, readings[i]!), NUMBERS.planned / sights.length),
  );

/** Adds what speaks for the way in which the die was meant to lie. */
function asPlanned(
  table: TurnTable,
  { solid }: NumberingGuess,
  s: Sight,
  logs: Float64Array,
  share: number,
): Float64Array {
  const { planned } = s.given;
  if (!planned) return logs;
  const meant = meantWays(solid, table, s.normals, planned);
  return logs.map((v, m) => v + (meant.some((w) => w.way === m) ? share : 0));
}

/** The same with a numbering of the die's own, where the faces plainly bear one. */
function withOwn(
  table: TurnTable,
  pair: readonly (readonly PairEvidence[])[],
  sights: readonly Sight[],
  readings: readonly (readonly SlotReading[])[],
  found: Found,
): Found {
  if (sights.length < 2) return found;
  // Looks alone must hold all photos together; the first one's way is as good as any.
  const anchored = sights.map((_, i) => new Float64Array(table.ways).fill(i === 0 ? -NUMBERS.anchor : 0));
  anchored[0]![table.none] = 0;
  const loose = jointWays(table, { own: anchored, pair });
  if (loose.way.some((w, i) => loose.chance[i]![w]! < 1 - CERTAINTY.certain)) return found;
  const logs = faceLogs(table, loose.way, readings, found[0].guess);
  const known = Math.max(...Array.from({ length: table.ways }, (_, t) => guessLogs(table, logs, t)));
  const own = learntNumbering(table, loose.way, readings, { guess: found[0].guess, logs: known });
  return own ? guessed(table, pair, sights, readings, withSign([own])) : found;
}
