import type { DieKind } from '../geometry/solid.ts';
import type { FacePicture } from './face-picture.ts';
import { printOf, type NumberingGuess } from './numberings.ts';
import { withoutMainColour } from './second-colour.ts';
import type { TurnTable } from './turn-table.ts';

/** What a reader says of one face: natural logs of the chance of each label, at any turn; and of a sign that is no number. */
export interface LabelReading {
  readonly labels: readonly string[];
  readonly labelLogs: ArrayLike<number>;
  readonly other: number;
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
  plain: 0.6,
  /** Chance that a die bears a sign in place of its highest number. */
  sign: 0.05,
} as const;

/** A face as far as it can be read; null where it is too small in the photo or the reader sees nothing. */
export function slotReading(picture: FacePicture, kind: DieKind, read: ReadFace): SlotReading | null {
  const px = Math.min(1, picture.photoPx[0]) * picture.size;
  if (px < READING.leastPx) return null;
  const reading = readTwice(picture, kind, read);
  return reading && { slot: picture.face, reading, weight: Math.min(1, px / READING.fullPx) };
}

/** A face that reads badly is looked at again without its main colour: either look may be the good one. */
function readTwice(picture: FacePicture, kind: DieKind, read: ReadFace): LabelReading | null {
  const first = read(picture, kind);
  if (!first || Math.exp(Math.max(...Array.from(first.labelLogs), first.other)) > READING.plain) return first;
  const bare = withoutMainColour(picture);
  const second = bare && read(bare, kind);
  if (!second) return first;
  const either = (a: number, b: number): number => Math.log((Math.exp(a) + Math.exp(b)) / 2);
  return {
    labels: first.labels,
    labelLogs: Array.from(first.labelLogs, (l, k) => either(l, second.labelLogs[k]!)),
    other: either(first.other, second.other),
  };
}

/** Log of the chance that a reading is of the face that a guess calls `label`. */
export function labelLog(
  { labels, labelLogs, other }: LabelReading,
  label: string,
  { solid, tens }: NumberingGuess,
): number {
  const logs = [printOf(label, tens), ...(label === '0' && !tens ? ['10'] : [])].flatMap((print) => {
    const k = labels.indexOf(print);
    return k < 0 ? [] : [labelLogs[k]!];
  });
  const highest = String(solid.labels.length);
  if (label === highest) logs.push(Math.log(READING.sign) + other);
  const most = Math.max(...logs);
  return most + Math.log(logs.reduce((s, l) => s + Math.exp(l - most), 0));
}

/** What one photo's readings say of each way its die can stand, for a numbering. */
export function wayLogs(
  { ways, faces, face }: TurnTable,
  guess: NumberingGuess,
  readings: readonly SlotReading[],
): Float64Array {
  const out = new Float64Array(ways);
  for (const { slot, reading, weight } of readings) {
    const logs = guess.solid.labels.map((label) => weight * labelLog(reading, label, guess));
    for (let m = 0; m < ways; m++) out[m]! += logs[face[m * faces + slot]!]!;
  }
  return out;
}
