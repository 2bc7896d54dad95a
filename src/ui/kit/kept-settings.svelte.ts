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
