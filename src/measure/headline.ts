import type { Note, NoteCode } from '../formats/notes.ts';
import type { Added } from './look.ts';
import { processingOf } from './processing.ts';

/** What may keep an outline from fitting any die, likeliest first. */
const CAUSES: readonly NoteCode[] = ['blur', 'burnt', 'noisy', 'compressed', 'beside'];
/** A rough outline that departs by more than this from the named kind's is another kind's, whatever the light, per cent of its width. */
const OTHER_KIND = 13;

/**
 * Why outlines of a set fit no die of the named kind: what was seen wrong in most of its photos rather than the kind, unless they
 * depart as far as another kind's do. Null where nothing was.
 */
export function disturbance(used: readonly Added[], departure: Pick<Note, 'as' | 'seen'>): Note | null {
  if (departure.as === 'of-width' && Number(departure.seen) > OTHER_KIND) return null;
  const { note } = processingOf(used);
  if (note) return note;
  for (const code of CAUSES) {
    const told = used.flatMap((a) => a.notes.find((n) => n.code === code) ?? []);
    if (2 * told.length > used.length) return told[0]!;
  }
  return null;
}
