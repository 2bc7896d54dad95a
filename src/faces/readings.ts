import type { DieKind, DieSolid } from '../geometry/solid.ts';
import { faceFrames } from './face-frame.ts';
import type { FacePicture } from './face-picture.ts';
import { offSkin } from './off-skin.ts';
import { printOf, type NumberingGuess } from './numberings.ts';
import { withoutMainColour } from './second-colour.ts';
import type { TurnTable } from './turn-table.ts';

/** What a reader says of one face: natural logs of the chance of each label, at any turn; and of a sign that is no number. */
export interface LabelReading {
  readonly labels: readonly string[];
  readonly labelLogs: ArrayLike<number>;
  readonly other: number;
  /** The same of each label at each turn, [labels x turns], evenly spaced from the picture's up; where the reader tells. */
  readonly logs?: ArrayLike<number>;
  readonly turns?: number;
  /** On a d6: the same of each label as a figure, and as pips. */
  readonly figureLogs?: ArrayLike<number> | null;
  readonly pipLogs?: ArrayLike<number> | null;
  /** On a d4: of each label near each corner, counter-clockwise from up. */
  readonly corners?: readonly { readonly labelLogs: ArrayLike<number> }[] | null;
}

export type ReadFace = (picture: FacePicture, kind: DieKind) => LabelReading | null;

/** A slot that was read in a photo, and how far that counts: small and slanted faces say less. */
export interface SlotReading {
  readonly slot: number;
  readonly reading: LabelReading;
  readonly weight: number;
}

export const READING = {
  /** Pixels of the photo along a face's shorter side from which it is read at all, and from which a reading counts in full. */
  leastPx: 14,
  fullPx: 44,
  /** Chance of the likeliest label from which a face is not looked at a second time. */
  plain: 0.8,
  /** Of several looks one counts by how sure it is: the square of 1 over what it leaves to others, this much added. */
  unsure: 0.02,
} as const;

/** A face as far as it can be read; null where it is too small in the photo or the reader sees nothing. */
export function slotReading(picture: FacePicture, kind: DieKind, read: ReadFace): SlotReading | null {
  const px = Math.min(1, picture.photoPx[0]) * picture.size;
  if (px < READING.leastPx) return null;
  const reading = readAgain(picture, kind, read);
  return reading && { slot: picture.face, reading, weight: Math.min(1, px / READING.fullPx) };
}

/**
 * A face that reads badly is looked at again without its main colour, and by what departs from its rim. Any look may be the good one, and a
 * net that sees print is surer than one that sees a swirl: chances are averaged, the surer look counting for more.
 */
function readAgain(picture: FacePicture, kind: DieKind, read: ReadFace): LabelReading | null {
  const first = read(picture, kind);
  if (!first || sureness(first) > READING.plain) return first;
  const others = [withoutMainColour(picture), offSkin(picture)].flatMap((p) => (p ? (read(p, kind) ?? []) : []));
  const all = [first, ...others];
  const weights = all.map((r) => (1 - sureness(r) + READING.unsure) ** -2);
  const shares: Shares = { weights, sum: weights.reduce((s, w) => s + w, 0) };
  const { figureLogs, pipLogs, corners } = first;
  return {
    labels: first.labels,
    labelLogs: meanLogs(all.map(ofLabels), shares),
    other: meanLog(all.map(ofOther), shares),
    ...(first.logs && first.turns ? { logs: meanLogs(all.map(ofTurns), shares), turns: first.turns } : {}),
    figureLogs: figureLogs ? meanLogs(all.map(ofFigures), shares) : null,
    corners:
      corners?.map((_, i) => {
        const there = all.map((r) => r.corners![i]!.labelLogs);
        return { labelLogs: meanLogs(there, shares) };
      }) ?? null,
    pipLogs: pipLogs ? meanLogs(all.map(ofPips), shares) : null,
  };
}

const ofLabels = (r: LabelReading): ArrayLike<number> => r.labelLogs;
const ofOther = (r: LabelReading): number => r.other;
const ofTurns = (r: LabelReading): ArrayLike<number> => r.logs!;
const ofFigures = (r: LabelReading): ArrayLike<number> => r.figureLogs!;
const ofPips = (r: LabelReading): ArrayLike<number> => r.pipLogs!;

/** How far each look counts, and their sum. */
interface Shares {
  readonly weights: readonly number[];
  readonly sum: number;
}

/** Log of the mean of chances given by their logs. */
function meanLog(logs: readonly number[], { weights, sum }: Shares): number {
  let mean = 0;
  for (let r = 0; r < logs.length; r++) mean += weights[r]! * Math.exp(logs[r]!);
  return Math.log(mean / sum);
}

/** The same of lists of them. */
function meanLogs(logs: readonly ArrayLike<number>[], { weights, sum }: Shares): number[] {
  const out: number[] = [];
  for (let k = 0; k < logs[0]!.length; k++) {
    let mean = 0;
    for (let r = 0; r < logs.length; r++) mean += weights[r]! * Math.exp(logs[r]![k]!);
    out.push(Math.log(mean / sum));
  }
  return out;
}

/** Chance of the likeliest label. */
const sureness = ({ labelLogs }: LabelReading): number => Math.exp(Math.max(...Array.from(labelLogs)));

/** Log of the chance that a reading is of the face that a guess calls `label`. */
export function labelLog(
  { labels, labelLogs, other, figureLogs, pipLogs }: LabelReading,
  label: string,
  { solid, tens, sign, pips }: NumberingGuess,
): number {
  if (sign && label === String(solid.labels.length)) return other;
  const known = (pips === null ? null : pips ? pipLogs : figureLogs) ?? labelLogs;
  const own = labels.indexOf(printOf(label, tens));
  // A 0 may be printed as 10.
  const ten = label === '0' && !tens ? labels.indexOf('10') : -1;
  const [first, second] = [own < 0 ? -Infinity : known[own]!, ten < 0 ? -Infinity : known[ten]!];
  const most = Math.max(first, second);
  return most === -Infinity ? most : most + Math.log(Math.exp(first - most) + Math.exp(second - most));
}

/** What one photo's readings say of each way its die can stand, for a numbering. */
export function wayLogs(table: TurnTable, guess: NumberingGuess, readings: readonly SlotReading[]): Float64Array {
  const { ways, faces, face, turn } = table;
  const out = new Float64Array(ways);
  for (const { slot, reading, weight } of readings) {
    const { labels } = guess.solid;
    const logs: number[] = [];
    if (!guess.corners) for (const label of labels) logs.push(weight * labelLog(reading, label, guess));
    for (let m = 0; m < ways; m++) {
      const at = m * faces + slot;
      out[m]! += guess.corners ? weight * cornersLog(guess.solid, face[at]!, turn[at]!, reading) : logs[face[at]!]!;
    }
  }
  return out;
}

/** Log of the chance that a d4's face, turned so often, bears the numbers of its corners. Those of one face are misread alike: they count as the root of their number. */
function cornersLog(solid: DieSolid, face: number, turn: number, { labels, corners }: LabelReading): number {
  if (!corners) return 0;
  const own = faceFrames(solid)[face]!.corners;
  const sum = corners.reduce((s, { labelLogs }, k) => {
    const { faces } = solid.corners[own[(k + turn) % own.length]!]!;
    return s + labelLogs[labels.indexOf(solid.labels.find((_, f) => !faces.includes(f))!)]!;
  }, 0);
  return sum / Math.sqrt(corners.length);
}
