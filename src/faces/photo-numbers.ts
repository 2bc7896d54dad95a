import type { FoundPose } from '../fit/pose-search.ts';
import type { Shot } from '../geometry/standing.ts';
import type { FacePicture } from './face-picture.ts';
import type { Sight } from './face-sight.ts';
import { frontSlot, meantWays, shotOf, upSlot, type MeantWay } from './front.ts';
import { jointWays, type JointWays } from './joint.ts';
import type { NumberingGuess } from './numberings.ts';
import type { SlotReading } from './readings.ts';
import type { PairEvidence } from './relative.ts';
import type { TurnTable } from './turn-table.ts';

/** From when on numbers are told. */
export const CERTAINTY = {
  /** Stated chance of being wrong up to which a number counts as known: a bound, a single face of a d6 being never surer than 0.002. */
  certain: 3e-3,
  /** Log of how much likelier a given number is than each other one, where the faces do not say enough. */
  given: 3,
  /** Chance that a given number is right below which it is contradicted, though the faces are not certain. */
  doubtful: 0.02,
} as const;

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

/** One numbering tried: how the photos go together under it. */
export interface Tried {
  readonly guess: NumberingGuess;
  readonly joint: JointWays;
  readonly own: readonly Float64Array[];
  /** Chance that this numbering holds, of those tried. */
  readonly share: number;
}

/** All numberings tried, likeliest first. */
export type Found = readonly [Tried, ...Tried[]];

/** The answer for each photo: from the faces where they are sure, else with what was given. */
export function answers(
  table: TurnTable,
  pair: readonly (readonly PairEvidence[])[],
  sights: readonly Sight[],
  found: Found,
): PhotoNumbers[] {
  const [{ guess, joint, own }] = found;
  const meant = sights.map(({ normals, given }) =>
    given.given ? meantWays(guess.solid, table, normals, given.given) : [],
  );
  const alone = sights.map((s, i) => told(table, s, found, i));
  if (alone.every((a, i) => a.front !== null || meant[i]!.length === 0))
    return alone.map((a, i) => checked(a, sights[i]!, meant[i]!, joint.way[i]!));
  // What was given of the other photos tells, through the looks of faces, what these must be.
  const leaning = own.map((logs, i) =>
    logs.map((v, m) => v + (meant[i]!.some((w) => w.way === m) ? CERTAINTY.given : 0)),
  );
  const together = jointWays(table, { own: leaning, pair });
  const withGiven: Found = [{ ...found[0], joint: together, share: 1 }];
  return sights.map((s, i) => {
    const a = alone[i]!;
    const { given } = s.given;
    if (a.front !== null || !given) return given ? checked(a, s, meant[i]!, joint.way[i]!) : a;
    const held = meant[i]!.find((m) => m.way === together.way[i]);
    if (a.up !== null && a.up !== given.up) return { ...a, contradicted: given };
    const asGiven = (way: MeantWay | undefined): PhotoNumbers => ({
      ...a,
      ...given,
      yaw: way?.yaw ?? a.yaw,
      from: 'given',
      chance: null,
      faces: way ? labelled(table, s, guess, way.way) : a.faces,
    });
    if (held) return asGiven(held);
    const likely = told(table, s, withGiven, i);
    const odds = meant[i]!.reduce((sum, m) => sum + together.chance[i]![m.way]!, 0);
    if (odds < CERTAINTY.doubtful) return { ...likely, contradicted: given };
    return asGiven(meant[i]![0]);
  });
}

/** What the faces tell surely, against what was given. */
function checked(a: PhotoNumbers, { given: { given } }: Sight, meant: readonly MeantWay[], way: number): PhotoNumbers {
  const same = meant.find((m) => m.way === way);
  if (!given) return a;
  return same ? { ...a, ...given, yaw: same.yaw, from: 'confirmed' } : { ...a, contradicted: given };
}

/** What the faces alone say of one photo. */
export function told(table: TurnTable, s: Sight, found: Found, i: number): PhotoNumbers {
  const [{ guess, joint }] = found;
  const { face, faces, ways } = table;
  const way = joint.way[i]!;
  const shot = shotOf(guess.solid, table, s.normals, way);
  const slots = [upSlot(guess.solid, s.normals), frontSlot(guess.solid, s.normals)] as const;
  let [same, sameUp] = [0, 0];
  const fronts = new Map<string, number>();
  for (const { guess: g, joint: j, share } of found)
    for (let m = 0; m < ways; m++) {
      if (g.solid.labels[face[m * faces + slots[0]]!]! !== shot.up) continue;
      const front = g.solid.labels[face[m * faces + slots[1]]!]!;
      const chance = share * j.chance[i]![m]!;
      sameUp += chance;
      fronts.set(front, (fronts.get(front) ?? 0) + chance);
      if (front === shot.front) same += chance;
    }
  const known = 1 - same <= CERTAINTY.certain;
  const upKnown = 1 - sameUp <= CERTAINTY.certain;
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
    faces: labelled(table, s, guess, way).map((seen) => (known ? seen : { ...seen, label: null })),
  };
}

/** The faces in sight with the numbers that they have where the die lies in the way `way`. */
const labelled = ({ face, faces, turn }: TurnTable, s: Sight, { solid }: NumberingGuess, way: number): SeenFace[] =>
  s.pictures.map((picture) => ({
    label: solid.labels[face[way * faces + picture.face]!]!,
    turn: turn[way * faces + picture.face]!,
    picture,
  }));

/** Numbers that may be in front, the likeliest first, with the log of their chance; hopeless ones are left out. */
function openFronts(chances: ReadonlyMap<string, number>): { readonly front: string; readonly log: number }[] {
  const all = [...chances].sort((p, q) => q[1] - p[1]);
  return all.filter(([, c]) => c > CERTAINTY.certain * all[0]![1]).map(([front, c]) => ({ front, log: Math.log(c) }));
}

/** The likeliest label of a reading, a question mark behind it where it is not likelier than all others together. */
function seenLabel({ reading }: SlotReading): string {
  const logs = Array.from(reading.labelLogs);
  const best = logs.indexOf(Math.max(...logs));
  return `${reading.labels[best]!}${Math.exp(logs[best]!) > 0.5 ? '' : '?'}`;
}
