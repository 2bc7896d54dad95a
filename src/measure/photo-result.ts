import { remarkOf } from './messages.ts';
import type { Note, PhotoResult } from './types.ts';

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
