import { CARD_WORDS } from './card/card-words.ts';
import { reader } from './kit/catalogue.ts';
import { PHOTO_WORDS } from './photos/photos-words.ts';
import { RESULT_WORDS } from './shape/result-words.ts';
import { SHELL } from './shell/shell-words.ts';

/** Words of the shell and the measuring rooms in the language in use; other rooms read catalogues of their own. */
export const words = reader({
  en: { ...SHELL.en, ...CARD_WORDS.en, ...PHOTO_WORDS.en, ...RESULT_WORDS.en },
  de: { ...SHELL.de, ...CARD_WORDS.de, ...PHOTO_WORDS.de, ...RESULT_WORDS.de },
});
