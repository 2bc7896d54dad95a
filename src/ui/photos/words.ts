import { reader } from '../kit/catalogue.ts';
import { PHOTO_WORDS } from './photos-words.ts';

/** The room's words in the language in use. */
export const words = reader(PHOTO_WORDS);
