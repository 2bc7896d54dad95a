import { keptChoice } from '../kit/kept-settings.svelte.ts';
import { parseJson } from '../../formats/json-text.ts';
import { trueShape } from '../../bias/die/die-shape.ts';
import { cornerName } from '../../bias/die/shape-check.ts';
import { DIE_KINDS, type DieKind } from '../../geometry/solid.ts';

/** A record with the parts of a measuring result that rolls need. */
export function trueRecord(kind: DieKind): unknown {
  const shape = trueShape(kind);
  return {
    die: { kind },
    faces: shape.labels.map((name, f) => ({ name, distance: shape.distances[f] })),
    corners: shape.radii.map((radius, c) => ({ name: cornerName(shape, c), radius })),
  };
}

/** Files larger than this are no results, bytes. */
export const LARGEST_FILE = 20_000_000;

/** Which die the rolls' room tells of: the one in hand, a true one, or one from a result file. */
export class RollsSource {
  readonly #kept = keptChoice<string>('rolls-source', ['measured', ...DIE_KINDS]);
  #opened = $state(false);
  file = $state.raw<{ readonly name: string; readonly record: unknown } | null>(null);
  /** Name of a file that is none. */
  refused = $state.raw<string | null>(null);
  /** `measured`, a kind, or `file`; a file itself is not kept. */
  get choice(): string {
    return this.#opened ? 'file' : this.#kept.current;
  }
  set choice(choice: string) {
    this.#opened = choice === 'file';
    if (!this.#opened) this.#kept.current = choice;
  }
  readonly #ideal: Partial<Record<DieKind, unknown>> = {};

  /** The record chosen; null where the die in hand is chosen and not measured. */
  record(measured: unknown): unknown {
    if (this.choice === 'measured') return measured;
    if (this.choice === 'file') return this.file?.record ?? measured;
    const kind = DIE_KINDS.find((k) => k === this.choice);
    return kind === undefined ? measured : (this.#ideal[kind] ??= trueRecord(kind));
  }

  async open(file: File): Promise<void> {
    this.refused = null;
    const json = file.size > LARGEST_FILE ? null : parseJson(await file.text().catch(() => ''));
    if (json?.ok !== true) {
      this.refused = file.name;
      return;
    }
    this.file = { name: file.name, record: json.value };
    this.choice = 'file';
  }
}
