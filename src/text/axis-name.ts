import type { Language } from './language.ts';

/** An axis' name as it is read: "1-20" in every language; a d4's "1-corner" by the language. */
export const axisName = (name: string, language: Language): string =>
  language === 'de' ? name.replace(/-corner$/, '-Ecke') : name;
