/** What readers are given: bytes of JSON, of logs, and of heads of photos. */
import fc, { type Arbitrary } from 'fast-check';
import type * as v from 'valibot';
import { mutatedBytes, mutatedJson } from './mutations.ts';
import { valuesOf } from './schema-values.ts';

export const encoded = (text: string): Uint8Array => new TextEncoder().encode(text);
export const decoded = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);
export const plainJson = (value: unknown): unknown => JSON.parse(JSON.stringify(value));
export const jsonOf = (value: unknown): Uint8Array => encoded(JSON.stringify(value) ?? 'null');

/** JSON files: by the schema, like good ones with places changed, and good ones' bytes mutated. */
export function jsonInputs(good: readonly unknown[], schema?: v.GenericSchema): Arbitrary<Uint8Array> {
  const files = good.map(plainJson);
  return fc.oneof(
    {
      weight: 5,
      arbitrary: fc
        .constantFrom(...files)
        .chain(mutatedJson)
        .map(jsonOf),
    },
    { weight: schema ? 3 : 0, arbitrary: (schema ? valuesOf(schema) : fc.jsonValue()).map(jsonOf) },
    { weight: 1, arbitrary: fc.constantFrom(...files).chain((file) => mutatedBytes(jsonOf(file))) },
    { weight: 1, arbitrary: fc.jsonValue().map(jsonOf) },
  );
}

/** Words of a log between numbers of a die. */
export const LOG_WORDS = fc.oneof(
  { weight: 8, arbitrary: fc.integer({ min: 1, max: 20 }).map(String) },
  {
    weight: 1,
    arbitrary: fc.constantFrom(
      '',
      '00',
      '1:',
      '2:3',
      '4 x 5',
      '6 = 1e308',
      '7:-1',
      '8: 1e15',
      '#',
      'x',
      '\ufeff',
      '\u0000',
      '-',
      '1.5',
      '٣',
    ),
  },
  { weight: 1, arbitrary: fc.string({ maxLength: 8 }) },
);
export const LOGS = fc
  .tuple(
    fc.array(LOG_WORDS, { maxLength: 120 }),
    fc.constantFrom(' ', ',', ';', '\n', '\r\n', '\t', ': '),
    fc.boolean(),
  )
  .map(([words, between, counts]) =>
    encoded(counts ? words.map((w, i) => `${(i % 20) + 1}${between}${w}`).join('\n') : words.join(between)),
  );

export const HEADS = [
  '\x89PNG\r\n\x1a\n',
  'RIFF....WEBPVP8 ',
  'II*\0',
  'MM\0*',
  'BM',
  '\0\0\0\x18ftypheic',
  '\0\0\0\x18ftypavif',
  '\xff\xd8\xff\xe1',
];
export const headOf = (tail: Uint8Array): number[] =>
  [...HEADS[(tail[0] ?? 0) % HEADS.length]!].map((c) => c.charCodeAt(0));
