import { CARD_WORDS } from './words/card.ts';
import { reader } from './words/catalogue.ts';
import { PHOTO_WORDS } from './words/photos.ts';
import { RESULT_WORDS } from './words/result.ts';
import { SHELL } from './words/shell.ts';

/** Words of the shell and the measuring rooms in the language in use; other rooms read catalogues of their own. */
export const words = reader({
  en: { ...SHELL.en, ...CARD_WORDS.en, ...PHOTO_WORDS.en, ...RESULT_WORDS.en },
  de: { ...SHELL.de, ...CARD_WORDS.de, ...PHOTO_WORDS.de, ...RESULT_WORDS.de },
});
