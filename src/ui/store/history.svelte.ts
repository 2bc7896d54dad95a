import type { CardEntries } from './cards.svelte.ts';
import type { DieEntries, DieSet } from './die-set.svelte.ts';

/** All that undoing brings back: the die on the bench with what was entered about it, and the printed cards. */
export interface Desk {
  readonly set: DieSet;
  readonly entries: DieEntries;
  readonly cards: readonly CardEntries[];
}

/** What a step changed, for its name. */
export type StepKind =
  'die' | 'card' | 'kind' | 'finish' | 'marks' | 'name' | 'photos' | 'numbers' | 'left-out' | 'log' | 'bars';

interface Step {
  readonly kind: StepKind;
  readonly before: Desk;
  readonly after: Desk;
  readonly at: number;
}

/** Steps that can be taken back. */
export const MOST_STEPS = 200;
/** Typing goes on within one step as long as it pauses for less than this, ms. */
export const PAUSE = 1500;
const TYPED: ReadonlySet<StepKind> = new Set(['name', 'log', 'bars', 'card']);

/** Undo and redo for everything that a person enters. */
export class History {
  #last: Desk | null = null;
  #undone = $state.raw<readonly Step[]>([]);
  #done = $state.raw<readonly Step[]>([]);

  /** What undoing would take back; null where there is nothing. */
  get undoable(): StepKind | null {
    return this.#done.at(-1)?.kind ?? null;
  }

  get redoable(): StepKind | null {
    return this.#undone.at(-1)?.kind ?? null;
  }

  /** Sees the desk as it is now; where the person changed it, that becomes a step. */
  see(desk: Desk, now: number): void {
    const last = this.#last;
    this.#last = desk;
    const kind = last === null ? null : difference(last, desk);
    if (last === null || kind === null) return;
    // What the photos tell belongs to the step that brought them.
    if (kind === 'kind' && desk.set.kindTold && last.entries.kind !== desk.entries.kind) {
      const brought = this.#done.at(-1);
      if (brought !== undefined) this.#done = [...this.#done.slice(0, -1), { ...brought, after: desk }];
      return;
    }
    // A die that nothing was entered about is not worth going back to.
    if (kind === 'die' && isEmpty(last.entries)) return;
    const top = this.#done.at(-1);
    const goesOn = top !== undefined && top.kind === kind && TYPED.has(kind) && now - top.at < PAUSE;
    const step = { kind, before: goesOn ? top.before : last, after: desk, at: now };
    this.#done = [...this.#done.slice(goesOn ? 0 : 1 - MOST_STEPS, goesOn ? -1 : undefined), step];
    this.#undone = [];
  }

  /** @returns What the desk shall be brought to; null where there is nothing to undo. */
  undo(): Desk | null {
    const step = this.#done.at(-1);
    if (step === undefined) return null;
    this.#done = this.#done.slice(0, -1);
    this.#undone = [...this.#undone, step];
    return (this.#last = step.before);
  }

  redo(): Desk | null {
    const step = this.#undone.at(-1);
    if (step === undefined) return null;
    this.#undone = this.#undone.slice(0, -1);
    this.#done = [...this.#done, step];
    return (this.#last = step.after);
  }

  /** From here on `desk` is where things stand, and no step leads to it. */
  restart(desk: Desk): void {
    this.#last = desk;
  }
}

const isEmpty = ({ shots, log, name }: DieEntries): boolean => shots.length === 0 && log === '' && name === '';
const same = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b);

function difference(a: Desk, b: Desk): StepKind | null {
  const [x, y] = [a.entries, b.entries];
  if (a.set !== b.set) return 'die';
  if (!same(a.cards, b.cards) || x.card !== y.card) return 'card';
  if (!same([x.kind, x.numbering, x.apex, x.said], [y.kind, y.numbering, y.apex, y.said])) return 'kind';
  if (x.finish !== y.finish || x.handTest !== y.handTest) return 'finish';
  if (!same(x.marks, y.marks)) return 'marks';
  if (x.name !== y.name) return 'name';
  const photos = (e: DieEntries): string[] => e.shots.map(({ photo }) => photo).sort();
  if (!same(photos(x), photos(y))) return 'photos';
  const left = (e: DieEntries): unknown[] => e.shots.map(({ photo, included }) => [photo, included]);
  if (!same(left(x), left(y))) return 'left-out';
  if (!same(x.shots, y.shots)) return 'numbers';
  if (x.log !== y.log) return 'log';
  return same(x.bars, y.bars) ? null : 'bars';
}
