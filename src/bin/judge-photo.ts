import type { DieSolid } from '../geometry/solid.ts';
import type { BinPhoto, BinDie, BinJob, BinLimits, BinReference, BinResult } from './types.ts';
import type { Note } from '../formats/result.ts';
import { uprightPlaces, uprightSize } from '../photo/orientation.ts';
import { remarkOf } from '../text/notes.ts';
import { PRINT_PRIOR } from '../vision/print-scale.ts';
import { judgedDie, judgedThing, type PhotoDoubt } from './judge.ts';
import type { LookedAt } from './look-at.ts';
import { matching } from './match.ts';
import { binMedian, diceNumbers, limitsFor, type DieNumbers } from './reference.ts';

/** What all dice of a bin are held against, and of how many dice it was made. */
export interface Standard {
  readonly reference: BinReference;
  readonly limits: BinLimits;
  readonly count: number;
}

/** The standard of a bin: as typed or measured, else what its dice have in the middle. */
export function standardOf(dice: readonly DieNumbers[], job: BinJob): Standard {
  const reference = job.reference?.size ? job.reference : binMedian(dice);
  return { reference, limits: limitsFor(job.limits, reference, dice), count: dice.length };
}

/** Numbers of a photo's dice. */
export const numbersIn = (solid: DieSolid, { things }: Pick<LookedAt, 'things'>): DieNumbers[] =>
  things.flatMap((t) => (t.code === 'die' ? [diceNumbers(solid, t)] : []));

/** What of a photo its verdicts are made of. */
export type Judgeable = Omit<LookedAt, 'sight' | 'focal'>;

export function judgedPhoto(photo: Judgeable, solid: DieSolid, { reference, limits, count }: Standard): BinPhoto {
  const doubt: PhotoDoubt = {
    scale: photo.print.u,
    ratio: photo.print.ratioU,
    focal: photo.focalU,
    distance: Math.hypot(...photo.view.cameraFromCard.shift),
  };
  const upright = (d: BinDie): BinDie => ({
    ...d,
    outline: Array.from(uprightPlaces(Float64Array.from(d.outline), photo, photo.orientation)),
  });
  const { width, height } = uprightSize(photo, photo.orientation);
  const first = photo.notes[0];
  return {
    photo: photo.name,
    status: first ? 'judged-with-remark' : 'judged',
    code: first?.code ?? null,
    remark: photo.notes.length > 0 ? photo.notes.map((n) => remarkOf(n)).join(' ') : null,
    notes: photo.notes,
    width,
    height,
    dice: photo.things.map((t) =>
      upright(t.code === 'die' ? judgedDie(solid, t, reference, limits, doubt, count) : judgedThing(t)),
    ),
  };
}

export const leftOut = (photo: string, note: Note): BinPhoto => ({
  photo,
  status: 'left-out',
  code: note.code,
  remark: remarkOf(note),
  notes: [note],
  width: 0,
  height: 0,
  dice: [],
});

/** What is to be said of the bin as a whole. */
function remarksOf(job: BinJob, source: 'typed' | 'die' | 'bin'): Note[] {
  const out: Note[] = [{ code: 'one-view' }];
  if (source === 'bin') out.push({ code: 'bin-median' });
  if (job.checkBar === null && job.checkBarY === null)
    out.push({ code: 'scale-unchecked', seen: (200 * PRINT_PRIOR.common).toFixed(1) });
  return out;
}

/** All of a bin but its photos. */
export type BinFrame = Omit<BinResult, 'photos' | 'matched' | 'tally'>;

export function frameOf(job: BinJob, { reference, limits }: Standard): BinFrame {
  const remarks = remarksOf(job, reference.source);
  return {
    format: 'evencast-bin/1',
    die: { kind: job.die },
    reference,
    limits,
    notes: remarks.map((n) => remarkOf(n)),
    remarks,
  };
}

/** A whole result of its photos. */
export function wholeResult(job: BinJob, standard: Standard, photos: readonly BinPhoto[]): BinResult {
  const all = photos.flatMap((p) => p.dice);
  const count = (v: BinDie['verdict']): number => all.filter((d) => d.verdict === v).length;
  const { format, die, reference, limits, notes, remarks } = frameOf(job, standard);
  return {
    format,
    die,
    reference,
    limits,
    matched: job.sameDice ? matching(photos) : null,
    tally: { keep: count('keep'), lookAgain: count('look-again'), reject: count('reject') },
    notes,
    ...(remarks ? { remarks } : {}),
    photos,
  };
}
