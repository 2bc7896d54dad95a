import { reader } from './kit/catalogue.ts';
import { SHELL } from './shell/shell-words.ts';
import { WORK_WORDS } from './shell/work-words.ts';
import { START_WORDS } from './start/start-words.ts';

/** Words of the page and its first room in the language in use: what is there at once. Each other room reads a catalogue of its own. */
export const words = reader({
  en: { ...SHELL.en, ...WORK_WORDS.en, ...START_WORDS.en },
  de: { ...SHELL.de, ...WORK_WORDS.de, ...START_WORDS.de },
});
