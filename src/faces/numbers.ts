import type { Numbering } from '../geometry/numbering.ts';
import { dieSolid, type DieKind, type DieSolid } from '../geometry/solid.ts';
import type { Shot } from '../geometry/standing.ts';
import type { FoundPose } from '../fit/pose-search.ts';
import { failure, success, type Result } from '../result.ts';
import { coarseDie, diePose } from './die-pose.ts';
import { faceLook } from './face-look.ts';
import { facePictures, type FacePicture } from './face-picture.ts';
import { FACE_TURNS } from './face-frame.ts';
import { frontSlot, meantWays, shotOf, slotNormals, upSlot, type MeantWay, type SlotNormals } from './front.ts';
import { jointWays, type JointWays } from './joint.ts';
import { otherKind, tellKind, type FoundDie } from './kind.ts';
import { numberingGuesses, withSign, type NumberingGuess } from './numberings.ts';
import { faceLogs, guessLogs, learntNumbering } from './own-numbering.ts';
import { slotReading, wayLogs, type ReadFace, type SlotReading } from './readings.ts';
import { relativeEvidence, type PairEvidence } from './relative.ts';
import { turnTable, type TurnTable } from './turn-table.ts';

export const NUMBERS = {
  /** Stated chance of being wrong up to which a number counts as known: a bound, a single face of a d6 being never surer than 0.002. */
  certain: 3e-3,
  /**
   * Share of the evidence that is believed: faces of one photo, and photos of one face, are wrong together (its light, its pose, an odd
   * letter), which a sum of logs does not know.
   */
  believed: 0.5,
  /** Cosine of slant from which faces are looked at, and faces of each photo that are read at first, the straightest. */
  slant: 0.05,
  readFirst: 5,
  /** Log of how much likelier a given number is than each other one, where the faces do not say enough. */
  given: 3,
  /** The same of all planned ones of a set together: most dice lie as asked, which alone must never pass for reading. */
  planned: 1.5,
  /** Chance that a given number is right below which it is contradicted, though the faces are not certain. */
  doubtful: 0.02,
  /** Log by which one photo is held where the others are put in order round it. */
  anchor: 60,
} as const;

/** One photo of a die, and what was given of how it stands. */
export interface FacePhoto extends FoundDie {
  readonly photo: string;
  readonly given: Shot | null;
  /** How the die was meant to be laid down; hardly counts beside what the faces show. */
  readonly planned?: Shot | null;
}

/** What is known of the die beforehand; null where nothing is. */
export interface NumbersAsked {
  readonly kind: DieKind | null;
  readonly numbering: Numbering | null;
  readonly apex?: number;
  /** Whether the kind given is not to be doubted, however the outlines fit. */
  readonly kindSure?: boolean;
}

/** Where numbers come from: the faces; what was given and the faces do not tell; what was given and the faces bear out. */
export type NumbersFrom = 'read' | 'given' | 'confirmed';

export interface SeenFace {
  readonly label: string | null;
  /** Counter-clockwise turns by 360/n degrees. */
  readonly turn: number;
  readonly picture: FacePicture;
}

/** How the die stands in one photo. */
export interface PhotoNumbers {
  readonly photo: string;
  /** Number up (d4: the one it stands on) and to the front; null where not known. */
  readonly up: string | null;
  readonly front: string | null;
  /** Yaw of the face in front, radians, whatever its number. */
  readonly yaw: number;
  /** Where up is known and the front not: the numbers that may be in front, the likeliest first, and the log of their chance. */
  readonly fronts: readonly { readonly front: string; readonly log: number }[] | null;
  readonly from: NumbersFrom | null;
  /** Stated chance that up or front is wrong, `from` being 'read' or 'confirmed'; null where only given or unknown. */
  readonly chance: number | null;
  /** The likeliest number up, known or not, and the stated chance that it is wrong: never an answer, what statements are judged by. */
  readonly likely: { readonly up: string; readonly chance: number };
  /** Set where what was given is at odds with the faces: what was given. */
  readonly contradicted: Shot | null;
  /** The likeliest labels of the straightest faces: what was seen, for messages. */
  readonly seen: readonly string[];
  readonly pose: FoundPose;
  /** Straightened faces in their slots; label and the turns that bring the slot's picture into the face's own frame where they are known. */
  readonly faces: readonly SeenFace[];
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

/** One photo while it is being worked on. */
export interface Sight {
  readonly given: Pick<FacePhoto, 'photo' | 'given' | 'planned'>;
  readonly pose: FoundPose;
  readonly normals: SlotNormals;
  /** Straightest first. */
  readonly pictures: readonly FacePicture[];
  readonly readings: SlotReading[];
  read: number;
}

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
  const solid = work.next();
  if (solid.done) return solid.value;
  const sights = photos.map((p, i) => faceSight(solid.value, p, i, read));
  return work.next(sights).value as Result<SetNumbers, NumbersFault>;
}

/** The same, stopping once: it says for which solid it needs {@link faceSight} of every photo, which may be made side by side. */
export function* numbersFrom(
  asked: NumbersAsked,
  photos: readonly FacePhoto[],
  read: ReadFace,
): Generator<DieSolid, Result<SetNumbers, NumbersFault>, readonly FaceSight[]> {
  const shown = asked.kind === null ? tellKind(photos) : null;
  const kind = asked.kind ?? shown?.kind ?? null;
  if (kind === null)
    return failure({ code: 'kind-unknown', seen: shown!.order.slice(0, 2).map((o) => o.kind).join(', ') }); // prettier-ignore
  const first = dieSolid(kind, asked.numbering ?? undefined, asked.apex);
  const seen = yield first;
  const sights = photos.map((given, i) => sighted(given, seen[i]!, first));
  const other = shown || asked.kindSure ? null : otherKind(kind, photos, sights.map((s) => s.pose)); // prettier-ignore
  if (other !== null) return failure({ code: 'other-kind', seen: other, needed: kind });
  return success({ ...readTogether(kind, asked.numbering, sights, read), kindFrom: shown ? 'told' : 'given' });
}

/** The numbers of photos whose faces were straightened, of a die of known kind; see {@link numbersOf}. */
export function readTogether(
  kind: DieKind,
  numbering: Numbering | null,
  sights: readonly Sight[],
  read: ReadFace,
): Omit<SetNumbers, 'kindFrom'> {
  const table = turnTable(dieSolid(kind, numbering ?? undefined));
  const turns = FACE_TURNS[kind];
  const looks = sights.map((s) => s.pictures.map((p) => faceLook(p, turns)));
  const pair = relativeEvidence(table, turns, looks).map((row) => row.map(believed));
  for (const s of sights) readMore(s, kind, read, NUMBERS.readFirst);
  let found = guessed(table, pair, sights, numberingGuesses(kind, numbering));
  if (sights.some((s, i) => told(table, s, found, i).front === null)) {
    for (const s of sights) readMore(s, kind, read, s.pictures.length);
    found = guessed(table, pair, sights, numberingGuesses(kind, numbering));
  }
  if (numbering === null && !found[0].guess.corners) found = withOwn(table, pair, sights, found);
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

/** What one photo shows of a die, before it is known how it stands: plain, so that it may be made elsewhere. */
export interface FaceSight {
  readonly pose: FoundPose;
  /** Straightest first. */
  readonly pictures: readonly FacePicture[];
  /** Of the straightest pictures, of which `read` were tried. */
  readonly readings: readonly SlotReading[];
  readonly read: number;
}

/** Looks at one photo: where the die stands, its faces straightened, and the first of them read. @param index  Of the photo in its set. */
export function faceSight(solid: DieSolid, photo: FoundDie, index: number, read: ReadFace): FaceSight {
  const pose = diePose(solid, photo.view, photo.region, photo.crop);
  const pictures = facePictures(coarseDie(solid, photo.view, photo.crop, pose, index), undefined, NUMBERS.slant);
  pictures.sort((a, b) => b.slant - a.slant);
  const sight = { pose, pictures, readings: [] as SlotReading[], read: 0 };
  readMore(sight, solid.kind, read, NUMBERS.readFirst);
  return sight;
}

const sighted = (given: FacePhoto, { pose, pictures, readings, read }: FaceSight, solid: DieSolid): Sight => ({
  ...{ given, pose, normals: slotNormals(solid, pose), pictures, readings: [...readings], read },
});

type Reading = Pick<Sight, 'pictures' | 'readings' | 'read'>;

function readMore(s: Reading, kind: DieKind, read: ReadFace, upTo: number): void {
  for (; s.read < Math.min(upTo, s.pictures.length); s.read++) {
    const one = slotReading(s.pictures[s.read]!, kind, read);
    if (one) s.readings.push(one);
  }
}

const believed = (logs: Float64Array): Float64Array => logs.map((v) => NUMBERS.believed * v);

interface Tried {
  readonly guess: NumberingGuess;
  readonly joint: JointWays;
  readonly own: readonly Float64Array[];
  /** Chance that this numbering holds, of those tried. */
  readonly share: number;
}

/** Likeliest first. */
type Found = readonly [Tried, ...Tried[]];

function guessed(
  table: TurnTable,
  pair: readonly (readonly PairEvidence[])[],
  sights: readonly Sight[],
  guesses: readonly NumberingGuess[],
): Found {
  const tried = guesses
    .map((guess) => {
      const own = sights.map((s) =>
        asPlanned(table, guess, s, ownLogs(table, guess, s), NUMBERS.planned / sights.length),
      );
      const joint = jointWays(table, { own, pair });
      return { guess, own, joint, logs: joint.score + guess.prior };
    })
    .sort((p, q) => q.logs - p.logs);
  const sum = tried.reduce((s, t) => s + Math.exp(t.logs - tried[0]!.logs), 0);
  return tried.map((t) => ({ ...t, share: Math.exp(t.logs - tried[0]!.logs) / sum })) as unknown as Found;
}

/** The straightest face counts in full, each further one by the share that is believed. */
function ownLogs(table: TurnTable, guess: NumberingGuess, { readings }: Sight): Float64Array {
  return wayLogs(
    table,
    guess,
    readings.map((r, k) => (k === 0 ? r : { ...r, weight: NUMBERS.believed * r.weight })),
  );
}

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
  found: Found,
): Found {
  if (sights.length < 2) return found;
  // Looks alone must hold all photos together; the first one's way is as good as any.
  const anchored = sights.map((_, i) => new Float64Array(table.ways).fill(i === 0 ? -NUMBERS.anchor : 0));
  anchored[0]![table.none] = 0;
  const loose = jointWays(table, { own: anchored, pair });
  if (loose.way.some((w, i) => loose.chance[i]![w]! < 1 - NUMBERS.certain)) return found;
  const readings = sights.map((s) => s.readings);
  const logs = faceLogs(table, loose.way, readings, found[0].guess);
  const known = Math.max(...Array.from({ length: table.ways }, (_, t) => guessLogs(table, logs, t)));
  const own = learntNumbering(table, loose.way, readings, { guess: found[0].guess, logs: known });
  return own ? guessed(table, pair, sights, withSign([own])) : found;
}

/** The answer for each photo: from the faces where they are sure, else with what was given. */
function answers(
  table: TurnTable,
  pair: readonly (readonly PairEvidence[])[],
  sights: readonly Sight[],
  found: Found,
): PhotoNumbers[] {
  const [{ guess, joint, own }] = found;
  const meant = sights.map(({ normals, given: { given } }) => given ? meantWays(guess.solid, table, normals, given) : []); // prettier-ignore
  const alone = sights.map((s, i) => told(table, s, found, i));
  if (alone.every((a, i) => a.front !== null || meant[i]!.length === 0))
    return alone.map((a, i) => checked(a, sights[i]!, meant[i]!, joint.way[i]!));
  // What was given of the other photos tells, through the looks of faces, what these must be.
  const leaning = own.map((logs, i) =>
    logs.map((v, m) => v + (meant[i]!.some((w) => w.way === m) ? NUMBERS.given : 0)),
  );
  const together = jointWays(table, { own: leaning, pair });
  const withGiven: Found = [{ ...found[0], joint: together, share: 1 }];
  return sights.map((s, i) => {
    const a = alone[i]!;
    const { given } = s.given;
    if (a.front !== null || !given) return given ? checked(a, s, meant[i]!, joint.way[i]!) : a;
    const held = meant[i]!.find((m) => m.way === together.way[i]);
    if (a.up !== null && a.up !== given.up) return { ...a, contradicted: given };
    if (held) return { ...a, ...given, yaw: held.yaw, from: 'given' as const, chance: null };
    const likely = told(table, s, withGiven, i);
    const odds = meant[i]!.reduce((sum, m) => sum + together.chance[i]![m.way]!, 0);
    if (odds < NUMBERS.doubtful) return { ...likely, contradicted: given };
    return { ...a, ...given, yaw: meant[i]![0]?.yaw ?? a.yaw, from: 'given' as const, chance: null };
  });
}

/** What the faces tell surely, against what was given. */
function checked(a: PhotoNumbers, { given: { given } }: Sight, meant: readonly MeantWay[], way: number): PhotoNumbers {
  const same = meant.find((m) => m.way === way);
  if (!given) return a;
  return same ? { ...a, ...given, yaw: same.yaw, from: 'confirmed' } : { ...a, contradicted: given };
}

/** What the faces alone say of one photo. */
function told(table: TurnTable, s: Sight, found: Found, i: number): PhotoNumbers {
  const [{ guess, joint }] = found;
  const { face, faces, ways } = table;
  const way = joint.way[i]!;
  const shot = shotOf(guess.solid, table, s.normals, way);
  const slots = [upSlot(guess.solid, s.normals), frontSlot(guess.solid, s.normals)] as const;
  let [same, sameUp] = [0, 0];
  const fronts = new Map<string, number>();
  for (const { guess: g, joint: j, share } of found)
    for (let m = 0; m < ways; m++) {
      const label = (slot: number): string => g.solid.labels[face[m * faces + slot]!]!;
      if (label(slots[0]) !== shot.up) continue;
      const chance = share * j.chance[i]![m]!;
      sameUp += chance;
      fronts.set(label(slots[1]), (fronts.get(label(slots[1])) ?? 0) + chance);
      if (label(slots[1]) === shot.front) same += chance;
    }
  const known = 1 - same <= NUMBERS.certain;
  const upKnown = 1 - sameUp <= NUMBERS.certain;
  return {
    photo: s.given.photo,
    up: upKnown ? shot.up : null,
    front: known ? shot.front : null,
    yaw: shot.yaw,
    fronts: upKnown && !known ? openFronts(fronts) : null,
    from: upKnown ? 'read' : null,
    chance: known ? Math.max(0, 1 - same) : upKnown ? Math.max(0, 1 - sameUp) : null,
    likely: { up: shot.up, chance: Math.max(0, 1 - sameUp) },
    contradicted: null,
    seen: s.readings.slice(0, 4).map(seenLabel),
    pose: s.pose,
    faces: s.pictures.map((picture) => ({
      label: known ? guess.solid.labels[face[way * faces + picture.face]!]! : null,
      turn: table.turn[way * faces + picture.face]!,
      picture,
    })),
  };
}

/** Numbers that may be in front, the likeliest first, with the log of their chance; hopeless ones are left out. */
function openFronts(chances: ReadonlyMap<string, number>): { readonly front: string; readonly log: number }[] {
  const all = [...chances].sort((p, q) => q[1] - p[1]);
  return all.filter(([, c]) => c > NUMBERS.certain * all[0]![1]).map(([front, c]) => ({ front, log: Math.log(c) }));
}

/** The likeliest label of a reading, a question mark behind it where it is not likelier than all others together. */
function seenLabel({ reading }: SlotReading): string {
  const logs = Array.from(reading.labelLogs);
  const best = logs.indexOf(Math.max(...logs));
  return `${reading.labels[best]!}${Math.exp(logs[best]!) > 0.5 ? '' : '?'}`;
}
