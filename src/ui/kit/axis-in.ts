import { axisName } from '../../text/axis-name.ts';
import { language } from './language.svelte.ts';

/** An axis' name as it is read in the language in use. */
export const axisIn = (name: string): string => axisName(name, language.current);
