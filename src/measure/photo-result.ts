import { remarkOf } from '../text/notes.ts';
import { failure, type Result } from '../result.ts';
import type { Asked } from './asked.ts';
import type { Added } from './look.ts';
import type { MeasureFailure, Note, NumbersFrom, PhotoResult } from '../formats/result.ts';

/** What is told of a photo before anything is measured in it; the first note is the one that its code and remark give. */
export function photoResult(
  photo: string,
  up: string,
  front: string,
  status: PhotoResult['status'],
  notes: readonly Note[],
): PhotoResult {
  return {
    ...{ photo, up, front, status, ...told(notes), notes },
    cardPoints: 0,
    cardSigma: 0,
    lean: null,
    scale: null,
    blur: null,
    outline: null,
  };
}

export const leftOut = (photo: string, up: string, front: string, notes: readonly Note[]): PhotoResult =>
  photoResult(photo, up, front, 'left-out', notes);

/** A used photo with notes besides those it has; of each code the first is kept. */
export function remarked(result: PhotoResult, more: readonly Note[]): PhotoResult {
  const notes = [...result.notes];
  for (const note of more) if (!notes.some((n) => n.code === note.code)) notes.push(note);
  return { ...result, status: notes.length > 0 ? 'used-with-remark' : 'used', ...told(notes), notes };
}

function told(notes: readonly Note[]): Pick<PhotoResult, 'code' | 'remark'> {
  const first = notes[0];
  return { code: first?.code ?? null, remark: first ? remarkOf(first) : null };
}

/** What is said of a set's photos while it is being measured. */
export interface PhotoBook {
  /** Adds a note to a photo, which is left out with it or used all the same. */
  remark(photo: Added, note: Note, leave: boolean): void;
  /** States a photo's numbers (those of its shot), where they come from and the chance that they are wrong. */
  numbered(photo: Added, from: NumbersFrom | null, chance: number | null): void;
  /** In the job's order. */
  inOrder(): PhotoResult[];
  failed(note: Note): Result<never, MeasureFailure>;
}

export function photoBook({ shots }: Asked, results: Map<string, PhotoResult>): PhotoBook {
  const inOrder = (): PhotoResult[] => shots.map((s) => results.get(s.photo)!);
  return {
    remark({ shot, openFronts, notes }, note, leave) {
      const { photo, up } = shot;
      // A front that is open is a mere guess of the fit.
      const front = openFronts ? '' : shot.front;
      const others = notes.filter((n) => n.code !== note.code);
      const before = results.get(photo)!;
      const { numbersFrom, numbersChance } = before;
      const numbers = numbersFrom === undefined ? {} : { numbersFrom, numbersChance: numbersChance ?? null };
      results.set(
        photo,
        leave ? { ...leftOut(photo, up, front, [note, ...others]), ...numbers } : remarked(before, [note]),
      );
    },
    numbered({ shot: { photo, up, front } }, from, chance) {
      const before = results.get(photo)!;
      const notes = front === '' ? before.notes : before.notes.filter((n) => n.code !== 'front-unknown');
      const status = before.status === 'used-with-remark' && notes.length === 0 ? 'used' : before.status;
      results.set(photo, {
        ...before,
        up,
        front,
        status,
        ...told(notes),
        notes,
        numbersFrom: from,
        numbersChance: chance,
      });
    },
    inOrder,
    failed: (note) => failure({ ...note, photos: inOrder() }),
  };
}
