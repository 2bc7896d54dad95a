import * as v from 'valibot';
import { DIE_KINDS, dieSolid, NumberingError, type DieKind } from '../geometry/solid.ts';
import type { Numbering } from '../geometry/numbering.ts';
import { APEX_RANGE, BOUNDS, CHECK_BAR_RANGE } from './bounds.ts';

/**
 * What a schema says of a value, read-only and without the "anything else" of formats that may be extended: those keys are kept where
 * they stand, but no code of this version reads them.
 */
export type Known<T> = T extends readonly unknown[]
  ? { readonly [I in keyof T]: Known<T[I]> }
  : T extends object
    ? [Named<T>] extends [never]
      ? { readonly [K in keyof T]: Known<T[K]> }
      : { readonly [K in keyof T as string extends K ? never : K]: Known<T[K]> }
    : T;
/** The keys that have a name of their own. */
type Named<T> = keyof { [K in keyof T as string extends K ? never : K]: T[K] };

/** The type of a format, derived from its schema. */
export type Of<S extends v.GenericSchema> = Known<v.InferOutput<S>>;

/** Any number that is measured or computed here: sums and squares of what is larger would be no numbers any more. */
export const NUMBER = v.pipe(v.number(), v.finite(), v.minValue(-BOUNDS.number), v.maxValue(BOUNDS.number));
export const COUNT = v.pipe(v.number(), v.integer(), v.minValue(0));
export const TRUE_OR_FALSE = v.boolean();
export const range = (least: number, most: number) => v.pipe(v.number(), v.minValue(least), v.maxValue(most));
/** mm. */
export const LENGTH = range(0, BOUNDS.length);
/** Standard uncertainty, mm. */
export const DOUBT = range(0, BOUNDS.length);
export const SHARE = range(0, 1);
export const QUANTITY = v.looseObject({ value: NUMBER, u: DOUBT });

export const text = (most: number) => v.pipe(v.string(), v.maxLength(most));
export const LABEL = text(BOUNDS.label);
export const NAME = text(BOUNDS.name);
export const LINE = text(BOUNDS.line);
export const TEXT = text(BOUNDS.text);

/**
 * A code: one of `T` in what this version writes; read is any, since a later version may know more. Whoever looks a code up does so with
 * `Object.hasOwn` or a default.
 */
export const codeOf = <T extends string>() =>
  v.pipe(
    NAME,
    v.transform((code) => code as T),
  );

export const list = <S extends v.GenericSchema>(entry: S, most: number, least = 0) =>
  v.pipe(v.array(entry), v.minLength(least), v.maxLength(most));
export const numbers = (most: number) => list(NUMBER, most);
/** Rows of a matrix of faces and corners, or of axes. */
export const MATRIX = list(numbers(BOUNDS.faces + BOUNDS.corners), BOUNDS.faces + BOUNDS.corners);

export const KIND = v.picklist(DIE_KINDS);
export const APEX = range(...APEX_RANGE);
/** Length of a check bar, mm. */
export const CHECK_BAR = range(...CHECK_BAR_RANGE);

/** The neighbours of each number. Whether they make a die, `dieFault` says, which knows the kind. */
export const NUMBERING = v.pipe(
  v.record(LABEL, list(LABEL, BOUNDS.faces)),
  v.check((r) => Object.keys(r).length <= BOUNDS.faces, 'numbering'),
);

/** Why kind, numbering and apex make no die together: what departs; null where they do. */
export function dieFault(
  kind: DieKind,
  numbering: Numbering | null | undefined,
  apex: number | null | undefined,
): 'numbering' | 'apex' | null {
  if (apex !== null && apex !== undefined && kind !== 'd10') return 'apex';
  if (numbering === null || numbering === undefined) return null;
  try {
    dieSolid(kind, numbering);
    return null;
  } catch (e) {
    if (e instanceof NumberingError) return 'numbering';
    throw e;
  }
}

/** A fault that no single field shows: where it lies, and what is needed there (a key of `NEEDS`). */
export interface CrossFault {
  readonly at: readonly (string | number)[];
  readonly need: string;
  /** A bound or a name that the words of the need hold. */
  readonly limit?: string | number;
}

/** The schema with a check across fields; its place is told as that of a single field is. */
export function crossed<S extends v.GenericSchema>(
  schema: S,
  fault: (value: Of<S>) => CrossFault | null,
): v.SchemaWithPipe<readonly [S, v.RawCheckAction<v.InferOutput<S>>]> {
  const check = v.rawCheck<v.InferOutput<S>>(({ dataset, addIssue }) => {
    if (!dataset.typed) return;
    const found = fault(dataset.value as Of<S>);
    if (found === null) return;
    let input: unknown = dataset.value;
    const path = found.at.map((key) => {
      const value = (input as Record<string | number, unknown> | undefined)?.[key];
      const item = { type: typeof key === 'number' ? 'array' : 'object', origin: 'value', input, key, value };
      input = value;
      return item as v.ObjectPathItem;
    });
    addIssue({
      message: found.limit === undefined ? found.need : `${found.need} ${found.limit}`,
      input,
      ...(path.length > 0 ? { path: path as [v.ObjectPathItem] } : {}),
    });
  });
  return v.pipe(schema, check) as v.SchemaWithPipe<readonly [S, typeof check]>;
}

/** Whether a matrix has `n` rows of `n`. */
export const isSquare = (m: readonly (readonly number[])[], n: number): boolean =>
  m.length === n && m.every((row) => row.length === n);
