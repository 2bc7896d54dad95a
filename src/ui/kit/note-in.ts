import type { Note } from '../../formats/notes.ts';
import { messageOf, type Message } from '../../text/notes.ts';
import { language } from './language.svelte.ts';

/** The words for a note in the language in use. */
export const noteIn = (note: Note): Message => messageOf(note, language.current);
