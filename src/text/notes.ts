import type { Note, NoteCode } from '../formats/notes.ts';
import type { Language } from './language.ts';
import { notePart, type Message } from './note-parts.ts';
import { GERMAN } from './notes-de.ts';
import { ENGLISH } from './notes-en.ts';

export type { Message } from './note-parts.ts';

/** Codes whose `seen` is the name of a file, which stays as it is. */
const NAMES: ReadonlySet<NoteCode> = new Set(['no-file', 'duplicate', 'unreadable']);

/** Numbers with the decimal sign of German, in what a note saw or needed. */
export const germanNumbers = (text: string): string => text.replace(/(\d)\.(\d)/g, '$1,$2');

/** A remark of a later version, whose words are not known here: its code and numbers, so that it is not lost. */
function unknown({ code, seen, needed }: Note, language: Language): Message {
  const numbers = [seen, needed].filter((part) => part !== undefined).join(' / ');
  const shown = numbers === '' ? code : `${code} (${numbers})`;
  return language === 'de'
    ? { text: `Anmerkung einer späteren Version: ${shown}.`, advice: 'Eine neuere Fassung kennt ihre Worte.' }
    : { text: `Remark of a later version: ${shown}.`, advice: 'A newer version knows its words.' };
}

/** The words for a note; English where no language is given, as results and the command line have them. */
export function messageOf(note: Note, language: Language = 'en'): Message {
  if (!Object.hasOwn(ENGLISH, note.code)) return unknown(note, language);
  if (language === 'en') return ENGLISH[note.code](note);
  const part = (which: 'seen' | 'needed'): string => {
    const text = notePart(note, which, 'de', NAMES.has(note.code) ? '' : '0');
    return NAMES.has(note.code) ? text : germanNumbers(text);
  };
  return GERMAN[note.code](part('seen'), part('needed'));
}

/** Both sentences. */
export const remarkOf = (note: Note, language: Language = 'en'): string => {
  const { text, advice } = messageOf(note, language);
  return `${text} ${advice}`;
};
