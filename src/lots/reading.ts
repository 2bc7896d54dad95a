import { BOUNDS } from './lot.ts';

/** What is wrong with a file, and where: a path like `dice[3].axes[0].value`. */
export interface Wrong {
  readonly code: 'wrong';
  readonly place: string;
  readonly needed: string;
  readonly seen: string;
}

/** Thrown inside the reading only; `attempt` makes a value of it. */
class Refused extends Error {
  readonly wrong: Wrong;
  constructor(wrong: Wrong) {
    super(wrong.place);
    this.wrong = wrong;
  }
}

/** Runs a reading; what it refuses is returned. */
export function attempt<T>(read: () => T): T | Wrong {
  try {
    return read();
  } catch (error) {
    if (error instanceof Refused) return error.wrong;
    throw error;
  }
}

/** What was found, short enough to be shown. */
function shown(value: unknown): string {
  if (value === undefined) return 'nothing';
  const text = Array.isArray(value) ? `a list of ${value.length}` : JSON.stringify(value);
  return plain(text.length > 60 ? `${text.slice(0, 57)}...` : text);
}

// Control characters and those that turn the direction of writing: they could make a line say what it does not.
// eslint-disable-next-line no-control-regex
const UNSEEN = /[\u0000-\u001f\u007f-\u009f\u200e\u200f\u202a-\u202e\u2066-\u2069]/g;

/** Text without characters that are not seen, of bounded length: safe in a terminal and on a page, as text. */
export const plain = (text: string, most: number = BOUNDS.text): string => text.replace(UNSEEN, ' ').slice(0, most);

export function refuse(place: string, needed: string, seen: unknown): never {
  throw new Refused({ code: 'wrong', place, needed, seen: shown(seen) });
}

/** A part of a parsed JSON value together with its place. */
export class Part {
  readonly value: unknown;
  readonly place: string;
  constructor(value: unknown, place = '') {
    this.value = value;
    this.place = place;
  }

  /** The member of that name; an object is needed. A member that is missing is a part without value. */
  at(name: string): Part {
    const { value } = this;
    if (typeof value !== 'object' || value === null || Array.isArray(value))
      return refuse(this.place || 'the file', 'an object', value);
    const own = Object.hasOwn(value, name) ? (value as Record<string, unknown>)[name] : undefined;
    return new Part(own, this.place === '' ? name : `${this.place}.${name}`);
  }

  get missing(): boolean {
    return this.value === undefined || this.value === null;
  }

  list(least: number, most: number): Part[] {
    if (!Array.isArray(this.value) || this.value.length < least || this.value.length > most)
      return refuse(this.place, `a list of ${least} to ${most}`, this.value);
    return this.value.map((v, i) => new Part(v, `${this.place}[${i}]`));
  }

  number(least: number, most: number): number {
    const { value } = this;
    if (typeof value !== 'number' || !(value >= least && value <= most))
      return refuse(this.place, `a number from ${least} to ${most}`, value);
    return value;
  }

  whole(least: number, most: number): number {
    const value = this.number(least, most);
    return Number.isInteger(value) ? value : refuse(this.place, 'a whole number', value);
  }

  text(most: number = BOUNDS.text): string {
    const { value } = this;
    if (typeof value !== 'string' || value.length > most)
      return refuse(this.place, `a text of at most ${most} characters`, value);
    return plain(value, most);
  }

  oneOf<T extends string>(values: readonly T[]): T {
    const found = values.find((v) => v === this.value);
    return found ?? refuse(this.place, values.join(', '), this.value);
  }

  /** What `read` gives, or null where there is nothing. */
  optional<T>(read: (part: Part) => T): T | null {
    return this.missing ? null : read(this);
  }
}
