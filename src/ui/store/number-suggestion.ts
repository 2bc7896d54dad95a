import type { Numbering } from '../../geometry/numbering.ts';
import type { PhotoEntry } from './photo-entry.svelte.ts';

/** Numbers of one photo that the fit found to agree better than those given. */
export interface NumberSuggestion {
  readonly photo: PhotoEntry;
  readonly up: string;
  readonly front: string;
}

/** What the fit suggests for a photo, if anything that the die's numbering allows; of photos in use only. */
export function numberSuggestion(photo: PhotoEntry, numbering: Numbering): NumberSuggestion | null {
  if (!photo.included || photo.judging) return null;
  const doubtful = photo.judged?.notes.find(({ code, as }) => code === 'up-doubtful' && as === 'up-front')?.seen;
  const [up, front] = String(doubtful ?? '').split('/');
  if (up === undefined || front === undefined || !numbering[up]?.includes(front)) return null;
  if (photo.up === up && photo.front === front) return null;
  return { photo, up, front };
}
