/** The languages in which everything is said. */
export const LANGUAGES = ['en', 'de'] as const;
export type Language = (typeof LANGUAGES)[number];

/** Words in every language: the same keys in each, which the type holds. */
export type Catalogue<W> = Readonly<Record<Language, W>>;

/** What files say of their language, and what numbers and dates are written by. */
export const LOCALES: Catalogue<string> = { en: 'en-GB', de: 'de-DE' };

/** A language by its name, or undefined where it is none of these. */
export const languageNamed = (name: string | undefined): Language | undefined => LANGUAGES.find((l) => l === name);
