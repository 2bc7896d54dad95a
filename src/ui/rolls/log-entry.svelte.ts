import type { Prediction } from '../../bias/meaning/prediction.ts';
import type { LogFault } from '../../bias/log/roll-log.ts';
import type { Result } from '../../result.ts';
import type { ReadLog } from '../../../workers/log-protocol.ts';
import { logClient } from './log-client.ts';
import type { WorkerFailure } from '../kit/worker-client.ts';

/** Typing is waited for this long, ms. */
const PAUSE = 250;
/** For the drawn logs of the exact test. */
const SEED = 1;
/** A text longer than this is held beside the box: a box with millions of rolls stops the page. */
export const LONG_TEXT = 100_000;
/** Longest log that is read, characters: about forty million rolls. */
export const LONGEST_TEXT = 120_000_000;

/** Where a log's text stands: the die in hand, which the page keeps, or a place of its own. */
export interface LogHolder {
  log: string;
}

/** A log that no die keeps. */
export class LooseLog implements LogHolder {
  log = $state('');
}

/** A roll log as typed, and what it tells; reading is a worker's work, so that long logs block nothing. */
export class LogEntry {
  /** A long log, pasted or from a file, read before what stands in the box. */
  long = $state.raw('');
  /** Characters that were offered and are too many. */
  refused = $state.raw(0);
  /** Name of a file that could not be read any more. */
  gone = $state.raw<string | null>(null);
  cleared = $state.raw<{ readonly text: string; readonly long: string } | null>(null);
  read = $state.raw<Result<ReadLog, LogFault> | null>(null);
  busy = $state(false);
  stopped = $state.raw<WorkerFailure | null>(null);
  readonly #client = logClient();
  readonly #holder: LogHolder;

  constructor(holder: LogHolder) {
    this.#holder = holder;
  }

  get text(): string {
    return this.#holder.log;
  }

  set text(text: string) {
    this.#holder.log = text;
  }

  add(name: string): void {
    const counts = /^[^\n]*[:=]/.test(this.text);
    const gap = this.text === '' || /\s$/.test(this.text) ? '' : counts ? '\n' : ' ';
    this.text = `${this.text}${gap}${counts ? `${name}: 1` : name}`;
  }

  removeLast(): void {
    this.text = this.text
      .trimEnd()
      .replace(/(?:[^\n]*[:=][^\n]*|\S+)$/, '')
      .trimEnd();
  }

  clear(): void {
    this.cleared = { text: this.text, long: this.long };
    this.text = this.long = '';
  }

  restore(): void {
    this.text = this.cleared?.text ?? '';
    this.long = this.cleared?.long ?? '';
    this.cleared = null;
  }

  /** Takes a pasted or opened text where it is too long for the box. @returns Whether it did. */
  takeLong(text: string): boolean {
    this.refused = 0;
    this.gone = null;
    if (text.length < LONG_TEXT) return false;
    if (this.long.length + text.length > LONGEST_TEXT) this.refused = this.long.length + text.length;
    else this.long = this.long === '' ? text : `${this.long}\n${text}`;
    return true;
  }

  /** An opened file: into the box, or beside it. */
  take(text: string): void {
    if (!this.takeLong(text)) this.text = this.text.trim() === '' ? text : `${this.text}\n${text}`;
  }

  get empty(): boolean {
    return this.text === '' && this.long === '';
  }

  /** Reads what stands there after a pause. @returns Ends the reading. */
  follow(text: string, long: string, prediction: Prediction): () => void {
    const controller = new AbortController();
    const whole = long === '' ? text : `${long}\n${text}`;
    if (text.trim() === '' && long === '') {
      this.read = null;
      this.busy = false;
      return () => undefined;
    }
    const timer = setTimeout(() => void this.#analyse(whole, prediction, controller.signal), PAUSE);
    return () => {
      clearTimeout(timer);
      controller.abort();
    };
  }

  async #analyse(text: string, prediction: Prediction, signal: AbortSignal): Promise<void> {
    this.busy = true;
    const answer = await this.#client.call((api) => api.analyse(text, prediction, SEED), signal);
    if (signal.aborted) return;
    this.busy = false;
    this.stopped = answer.ok ? null : answer.error;
    if (answer.ok) this.read = answer.value;
  }
}

const entries = new WeakMap<LogHolder, LogEntry>();

/** The entry of a log, with what was read of it before. */
export function entryOf(holder: LogHolder): LogEntry {
  const kept = entries.get(holder) ?? new LogEntry(holder);
  entries.set(holder, kept);
  return kept;
}
