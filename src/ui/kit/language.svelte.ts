/** Languages the page speaks, by their BCP 47 code, each with its name in itself. */
export const LANGUAGES = { en: 'English', de: 'Deutsch' } as const;
export type Language = keyof typeof LANGUAGES;

const KEY = 'evencast-language';

/** Node 20 has no navigator; a browser may refuse storage. */
const wished = (): readonly string[] => (globalThis as { navigator?: Navigator }).navigator?.languages ?? [];
const isLanguage = (text: string | null): text is Language => text !== null && Object.hasOwn(LANGUAGES, text);

function kept(): Language | null {
  try {
    const text = localStorage.getItem(KEY);
    return isLanguage(text) ? text : null;
  } catch {
    return null;
  }
}

const first = (): Language =>
  wished()
    .map((tag) => tag.slice(0, 2))
    .find(isLanguage) ?? 'en';

/** The language in use: the person's choice, else the first of the browser's languages that the page speaks, else English. */
class LanguageChoice {
  #current = $state<Language>(kept() ?? first());

  get current(): Language {
    return this.#current;
  }

  /** Locale for numbers and dates: the browser's own where it is one of this language ("de-CH"), else the language. */
  get locale(): string {
    return wished().find((tag) => tag.slice(0, 2) === this.#current) ?? this.#current;
  }

  /** Switches at once, and for the next visits where the browser keeps anything. */
  choose(language: Language): void {
    this.#current = language;
    try {
      localStorage.setItem(KEY, language);
    } catch {
      // Chosen for this visit only.
    }
  }
}

export const language = new LanguageChoice();
