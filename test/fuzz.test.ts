import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { allReaders, faultWith, inputOf } from './fuzz/one.ts';

/** A short share of `npm run fuzz`: new inputs by fixed numbers, and every input that once failed. */

const SHARE = { seed: 1, inputs: 25 } as const;
const CORPUS = join(import.meta.dirname, 'corpus');
const past = readdirSync(CORPUS).filter((name) => !name.startsWith('.') && name !== 'README.md');
const readers = await allReaders(past.some((name) => name.startsWith('photo-set.')));

describe.each(Object.keys(readers).filter((name) => name !== 'photo-set'))('%s', (name) => {
  test('generated inputs: a message with its code, or a right result', async () => {
    for (let index = 0; index < SHARE.inputs; index++) {
      const fault = await faultWith(readers[name]!, inputOf(readers[name]!, SHARE.seed, index));
      expect(fault, `--seed ${SHARE.seed} --only ${name}, input ${index}`).toBeNull();
    }
  });
});

test.each(past)('what failed once: %s', async (file) => {
  const name = file.slice(0, file.lastIndexOf('.'));
  expect(await faultWith(readers[name]!, new Uint8Array(readFileSync(join(CORPUS, file))))).toBeNull();
});

test('what the oracle refuses', async () => {
  const { faultOf, refused, taken } = await import('./fuzz/outcome.ts');
  expect(faultOf(refused('no-die', 'No die.', 'Kein Würfel.'))).toBeNull();
  expect(faultOf(refused('no-die', 'No die.', 'No die.'))).toMatch(/same words/);
  expect(faultOf(refused('no-die', 'No die.', ''))).toMatch(/no words/);
  expect(faultOf(refused('a b', 'No die.', 'Kein.'))).toMatch(/code/);
  expect(faultOf(taken('length NaN mm'))).toMatch(/no sense/);
  expect(faultOf(taken('Invalid key: Expected "name"'))).toMatch(/library/);
  expect(faultOf(taken('a\u001b[2J'))).toMatch(/unseen/);
});
