import fc, { type Arbitrary } from 'fast-check';
import type * as v from 'valibot';
import { BOUNDS } from '../../src/formats/bounds.ts';

/** What a Valibot schema shows of itself; only what values are made from is named. */
interface Shown {
  readonly type: string;
  readonly entries?: Readonly<Record<string, Shown>>;
  readonly item?: Shown;
  readonly items?: readonly Shown[];
  readonly wrapped?: Shown;
  readonly options?: readonly unknown[];
  readonly literal?: unknown;
  readonly key?: Shown;
  readonly value?: Shown;
  readonly pipe?: readonly (Shown & { readonly requirement?: unknown })[];
}

/** Longest list that is made where a schema allows more: the rest is more of the same. */
const LIST = 6;
const OPTIONAL = ['optional', 'exact_optional', 'nullish', 'undefinedable'];

/** Values that a schema's fields are of, most of them within their bounds; whether they fit together, nothing here knows. */
export function valuesOf(schema: v.GenericSchema): Arbitrary<unknown> {
  return made(schema);
}

function made(schema: Shown): Arbitrary<unknown> {
  const base = schema.pipe?.[0] ?? schema;
  const bound = (type: string): unknown => schema.pipe?.find((action) => action.type === type)?.requirement;
  switch (base.type) {
    case 'object':
    case 'loose_object':
    case 'strict_object':
      return recordOf(base.entries ?? {});
    case 'array': {
      const [least, most] = [Number(bound('min_length') ?? 0), Number(bound('max_length') ?? LIST)];
      return fc.array(made(base.item!), { minLength: least, maxLength: Math.max(least, Math.min(most, LIST)) });
    }
    case 'tuple':
    case 'strict_tuple':
      return fc.tuple(...(base.items ?? []).map(made));
    case 'record':
      return fc.dictionary(made(base.key!) as Arbitrary<string>, made(base.value!), { maxKeys: LIST });
    case 'string':
      return textOf(bound('regex'), Number(bound('max_length') ?? BOUNDS.name));
    case 'number': {
      const whole = schema.pipe?.some(({ type }) => type === 'integer') ?? false;
      return numberOf(
        Number(bound('min_value') ?? bound('gt_value') ?? -1e4),
        Number(bound('max_value') ?? 1e4),
        whole,
      );
    }
    case 'boolean':
      return fc.boolean();
    case 'literal':
      return fc.constant(base.literal);
    case 'picklist':
      return fc.constantFrom(...(base.options ?? []));
    case 'union':
    case 'variant':
      return fc.oneof(...(base.options as readonly Shown[]).map(made));
    case 'nullable':
    case 'nullish':
      return fc.option(made(base.wrapped!), { nil: null });
    case 'optional':
    case 'exact_optional':
    case 'undefinedable':
      return made(base.wrapped!);
    case 'unknown':
    case 'any':
      return fc.jsonValue({ maxDepth: 3 });
    default:
      throw new Error(`no values are made of ${base.type} yet`);
  }
}

function recordOf(entries: Readonly<Record<string, Shown>>): Arbitrary<unknown> {
  const fields = Object.fromEntries(Object.entries(entries).map(([key, entry]) => [key, made(entry)]));
  const requiredKeys = Object.keys(entries).filter((key) => !OPTIONAL.includes(entries[key]!.type));
  return fc.record(fields, { requiredKeys });
}

function textOf(regex: unknown, most: number): Arbitrary<string> {
  if (regex instanceof RegExp) return fc.stringMatching(new RegExp(regex.source));
  const short = Math.min(most, 40);
  return fc.oneof(
    { weight: 4, arbitrary: fc.constantFrom('1', '2', '3', '4', '6', '8', '20', '00', '1-2', '1-20', 'a', '01.jpg') },
    { weight: 2, arbitrary: fc.string({ maxLength: short }) },
    { weight: 1, arbitrary: fc.string({ unit: 'binary', maxLength: short }) },
  );
}

function numberOf(least: number, most: number, whole: boolean): Arbitrary<number> {
  if (whole) return fc.integer({ min: Math.ceil(Math.max(least, -1e9)), max: Math.floor(Math.min(most, 1e9)) });
  return fc.oneof(
    { weight: 3, arbitrary: fc.double({ min: least, max: most, noNaN: true, noDefaultInfinity: true }) },
    {
      weight: 1,
      arbitrary: fc.constantFrom(least, most, Math.max(least, Math.min(most, 0)), Math.max(least, Math.min(most, 1))),
    },
  );
}
