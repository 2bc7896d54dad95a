/** A choice that was set, as the store writes it. */
interface SettingChange {
  readonly store: 'settings';
  readonly key: string;
  readonly put: unknown;
}

/** Choices of the person that are no die's: units, paper, colours. Read when the page opens, before any room is shown. */
class KeptSettings {
  #values = $state.raw<ReadonlyMap<string, unknown>>(new Map());
  #mark: (key: string, change: SettingChange) => void = () => undefined;

  get(key: string): unknown {
    return this.#values.get(key);
  }

  /** Sets a choice, a value that can be cloned, and keeps it. */
  set(key: string, value: unknown): void {
    if (this.#values.get(key) === value) return;
    this.#values = new Map(this.#values).set(key, value);
    this.#mark(key, { store: 'settings', key, put: value });
  }

  /** For the keeper: what was kept, and where changes go from now on. What was set before stays set, and is kept. */
  open(kept: ReadonlyMap<string, unknown>, mark: (key: string, change: SettingChange) => void): void {
    const before = this.#values;
    this.#mark = mark;
    this.#values = new Map([...kept, ...before]);
    for (const [key, value] of before) mark(key, { store: 'settings', key, put: value });
  }

  /** What another tab set. */
  told(key: string, value: unknown): void {
    this.#values = new Map(this.#values).set(key, value);
  }
}

export const keptSettings = new KeptSettings();

/** Longest text that {@link keptText} keeps, characters. */
const LONGEST = 400;

/**
 * A text that is kept as typed, for fields that belong to no record: `const throws = keptText('throws', '200000')`, then `throws.current`.
 *
 * @param initial  What stands there for somebody who has not typed.
 */
export function keptText(key: string, initial = ''): { current: string } {
  return {
    get current(): string {
      const kept = keptSettings.get(key);
      return typeof kept === 'string' && kept.length <= LONGEST ? kept : initial;
    },
    set current(text: string) {
      keptSettings.set(key, text.slice(0, LONGEST));
    },
  };
}

/** Things of which {@link keptTextsOf} keeps a text; the one typed longest ago goes first. */
const MOST_THINGS = 400;

/** A text for each of many things (a die, a card), kept as typed, for fields that belong to no record. */
export function keptTextsOf(key: string): {
  get(thing: string): string | null;
  /** Null lets go of it. */
  set(thing: string, text: string | null): void;
} {
  const isPair = (each: unknown): each is [string, string] =>
    Array.isArray(each) && each.length === 2 && each.every((t) => typeof t === 'string' && t.length <= LONGEST);
  const all = (): [string, string][] => {
    const kept = keptSettings.get(key);
    return Array.isArray(kept) ? kept.filter(isPair).slice(-MOST_THINGS) : [];
  };
  return {
    get: (thing) => all().find(([name]) => name === thing)?.[1] ?? null,
    set(thing, text) {
      const others = all().filter(([name]) => name !== thing);
      keptSettings.set(key, text === null ? others : [...others, [thing, text.slice(0, LONGEST)]]);
    },
  };
}

/**
 * A choice among words that is kept: `const units = keptChoice('units', ['mm', 'inch'])`, then `units.current`, reactive both ways.
 *
 * @param choices  The first is that of somebody who has not chosen.
 */
export function keptChoice<T extends string>(key: string, choices: readonly [T, ...T[]]): { current: T } {
  return {
    get current(): T {
      const kept = keptSettings.get(key);
      return choices.find((choice) => choice === kept) ?? choices[0];
    },
    set current(choice: T) {
      keptSettings.set(key, choice);
    },
  };
}
