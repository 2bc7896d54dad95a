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
  const sum = weights.reduce((s, w) => s + w, 0);
  const mean = (of: (r: LabelReading) => number): number =>
    Math.log(all.reduce((s, r, k) => s + weights[k]! * Math.exp(of(r)), 0) / sum);
  const each = (logs: ArrayLike<number>, of: (r: LabelReading) => ArrayLike<number>): number[] =>
    Array.from(logs, (_, k) => mean((r) => of(r)[k]!));
  return {
    labels: first.labels,
    labelLogs: each(first.labelLogs, (r) => r.labelLogs),
    other: mean((r) => r.other),
    ...(first.logs && first.turns ? { logs: each(first.logs, (r) => r.logs!), turns: first.turns } : {}),
    figureLogs: first.figureLogs ? each(first.figureLogs, (r) => r.figureLogs!) : null,
    corners: first.corners?.map((c, i) => ({ labelLogs: each(c.labelLogs, (r) => r.corners![i]!.labelLogs) })) ?? null,
    pipLogs: first.pipLogs ? each(first.pipLogs, (r) => r.pipLogs!) : null,
  };
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
  const logs = [printOf(label, tens), ...(label === '0' && !tens ? ['10'] : [])].flatMap((print) => {
    const k = labels.indexOf(print);
    return k < 0 ? [] : [known[k]!];
  });
  const most = Math.max(...logs);
  return most + Math.log(logs.reduce((s, l) => s + Math.exp(l - most), 0));
}

/** What one photo's readings say of each way its die can stand, for a numbering. */
export function wayLogs(table: TurnTable, guess: NumberingGuess, readings: readonly SlotReading[]): Float64Array {
  const { ways, faces, face, turn } = table;
  const out = new Float64Array(ways);
  for (const { slot, reading, weight } of readings) {
    const logs = guess.corners ? null : guess.solid.labels.map((label) => weight * labelLog(reading, label, guess));
    for (let m = 0; m < ways; m++) {
      const at = m * faces + slot;
      out[m]! += logs ? logs[face[at]!]! : weight * cornersLog(guess.solid, face[at]!, turn[at]!, reading);
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
