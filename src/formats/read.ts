import * as v from 'valibot';
import { failure, success, type Result } from '../result.ts';
import { BOUNDS } from './bounds.ts';
import type { Known } from './parts.ts';

/** What a place in a file needs. The words of each stand in `text/format-faults.ts`. */
export const NEEDS = [
  'object',
  'list',
  'text',
  'number',
  'whole',
  'true-or-false',
  'one-of',
  'at-least',
  'at-most',
  'more-than',
  'longest',
  'most-entries',
  'fewest-entries',
  'pattern',
  'not-known',
  'present',
  'other',
  'depth',
  'numbering',
  'apex',
  'square',
  'variance',
  'outline',
  'sigma',
  'unlike',
  'visible',
  'limits-order',
  'names-count',
  'names-order',
  'mark-of-face',
] as const;
export type Need = (typeof NEEDS)[number];

/** Why a file or a record is not of its format: where (`dice[3].axes[0].value`, empty for the whole), what is needed there, what stands there. */
export interface FormatFault {
  readonly code: 'wrong';
  readonly place: string;
  readonly need: Need;
  /** A bound, or the values that are known, where the need has one. */
  readonly limit?: string | number;
  /** What stands there, cut short; "nothing" is null. */
  readonly seen: string | null;
}

/** Reads a parsed JSON value by its schema: what the schema gives, or the first place that departs from it. */
export function read<S extends v.GenericSchema>(schema: S, json: unknown): Result<v.InferOutput<S>, FormatFault> {
  if (isTooDeep(json))
    return failure({ code: 'wrong', place: '', need: 'depth', limit: BOUNDS.depth, seen: shown(json) });
  // To the schema a list is an object with few names.
  if (Array.isArray(json)) return failure({ code: 'wrong', place: '', need: 'object', seen: shown(json) });
  const parsed = v.safeParse(schema, json, { abortEarly: true });
  return parsed.success ? success(parsed.output) : failure(formatFault(parsed.issues[0]));
}

/**
 * The same, for formats whose reading changes nothing: the value itself, every key that the schema does not know kept as it stands, so that
 * a digest of it still holds.
 */
export function checked<S extends v.GenericSchema>(
  schema: S,
  json: unknown,
): Result<Known<v.InferOutput<S>>, FormatFault> {
  const out = read(schema, json);
  return out.ok ? success(json as Known<v.InferOutput<S>>) : out;
}

/** Whether lists and objects lie deeper within each other than any format has them; asked before anything else looks inside. */
export function isTooDeep(json: unknown): boolean {
  let level: object[] = typeof json === 'object' && json !== null ? [json] : [];
  for (let depth = 0; depth < BOUNDS.depth; depth++) {
    const next: object[] = [];
    for (const one of level)
      for (const value of Object.values(one) as unknown[])
        if (typeof value === 'object' && value !== null) next.push(value);
    if (next.length === 0) return false;
    level = next;
  }
  return true;
}

const SCHEMA_NEEDS: Readonly<Record<string, Need>> = {
  object: 'object',
  loose_object: 'object',
  strict_object: 'object',
  record: 'object',
  variant: 'one-of',
  array: 'list',
  tuple: 'list',
  strict_tuple: 'list',
  string: 'text',
  number: 'number',
  finite: 'number',
  boolean: 'true-or-false',
  integer: 'whole',
  literal: 'one-of',
  picklist: 'one-of',
  min_value: 'at-least',
  max_value: 'at-most',
  gt_value: 'more-than',
  regex: 'pattern',
};

/** The first issue of a schema as a fault with its place. */
export function formatFault(issue: v.BaseIssue<unknown>): FormatFault {
  const place = placeOf(issue.path);
  const fault = (need: Need, limit?: string | number): FormatFault => ({
    code: 'wrong',
    place,
    need,
    ...(limit === undefined ? {} : { limit }),
    seen: shown(issue.input),
  });
  const last = issue.path?.at(-1);
  // A member that is missing is told by the object around it, one too many likewise.
  if (
    issue.kind === 'schema' &&
    last !== undefined &&
    issue.input === undefined &&
    'origin' in last &&
    last.origin === 'key'
  )
    return fault('present');
  if (issue.expected === 'never') return fault('not-known');
  if (issue.type === 'check' || issue.type === 'raw_check') {
    // Checks of our own name their need, and its bound behind a space.
    const [name = '', ...bound] = issue.message.split(' ');
    const need = (NEEDS as readonly string[]).includes(name) ? (name as Need) : 'other';
    return fault(need, bound.length > 0 ? bound.join(' ') : undefined);
  }
  const requirement = issue.requirement as number | undefined;
  if (issue.type === 'max_length')
    return fault(typeof issue.input === 'string' ? 'longest' : 'most-entries', requirement);
  if (issue.type === 'min_length')
    return fault(typeof issue.input === 'string' ? 'visible' : 'fewest-entries', requirement);
  const need = issue.expected === 'Object' ? 'object' : (SCHEMA_NEEDS[issue.type] ?? 'other');
  if (need === 'one-of') return fault(need, issue.expected?.replace(/^\((.*)\)$/, '$1').replaceAll(' |', ',') ?? '');
  return fault(need, typeof requirement === 'number' ? requirement : undefined);
}

const placeOf = (path: readonly { readonly key?: unknown; readonly type?: unknown }[] | undefined): string =>
  (path ?? []).reduce((at: string, { key, type }) => {
    const name = plain(String(key), BOUNDS.name);
    return type === 'array' ? `${at}[${name}]` : at === '' ? name : `${at}.${name}`;
  }, '');

/** What was found, short enough to be shown; null for nothing. Looks one level deep only. */
export function shown(value: unknown): string | null {
  if (value === undefined) return null;
  if (Array.isArray(value)) return `[${value.length}]`;
  if (typeof value === 'object' && value !== null) return '{}';
  const text = typeof value === 'string' ? JSON.stringify(value.slice(0, 200)) : String(value);
  return plain(text.length > 60 ? `${text.slice(0, 57)}...` : text);
}

// Control characters and those that turn the direction of writing: they could make a line say what it does not.
// eslint-disable-next-line no-control-regex
const UNSEEN = /[\u0000-\u001f\u007f-\u009f\u200e\u200f\u202a-\u202e\u2066-\u2069]/g;

/** Text without characters that are not seen: safe in a terminal and on a page, as text. */
export const plain = (text: string, most: number = BOUNDS.line): string => text.replace(UNSEEN, ' ').slice(0, most);
