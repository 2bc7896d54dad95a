import { reader } from '../kit/catalogue.ts';
import { RESULT_WORDS } from './result-words.ts';

/** The room's words in the language in use. */
export const words = reader(RESULT_WORDS);
