import { expect, test } from 'vitest';
import { knownRange } from '../src/maths/joint-draws.ts';
import { twoLengths } from '../src/judging/two-lengths.ts';
import { TWO_LENGTHS } from '../src/text/two-lengths.ts';

const axis = (length: number, u: number, edges: number, edgesU: number): Parameters<typeof twoLengths>[0][number] => ({
  length,
  u,
  lengthAtEdges: { value: edges, u: edgesU },
});

test('lengths at the edges are shown where the doubt over the faces is far wider, or where the values differ', () => {
  expect(twoLengths([axis(16, 0.07, 16, 0.007)])).toBe('doubt');
  expect(twoLengths([axis(16.06, 0.009, 16, 0.007)])).toBe('crowned');
  expect(twoLengths([axis(16, 0.009, 16, 0.007), axis(16.002, 0.009, 16, 0.007)])).toBe('crowned');
});

test('and are not where both say the same, or where a result has only one', () => {
  expect(twoLengths([axis(16, 0.009, 16, 0.007)])).toBeNull();
  expect(twoLengths([{ length: 16, u: 0.07 }])).toBeNull();
});

test('the sentence says in both languages what narrows the doubt', () => {
  expect(TWO_LENGTHS.en.doubt).toMatch(/finish.*edge-on/);
  expect(TWO_LENGTHS.de.doubt).toMatch(/Oberfläche.*Kante/);
});

test('a crown that all axes share leaves their range as it was', () => {
  const lengths = [16, 16.01, 16.03];
  const covariance = (common: number): Float64Array =>
    Float64Array.from({ length: 9 }, (_, k) => common ** 2 + (k % 4 === 0 ? 0.004 ** 2 : 0));
  const [bare, crowned] = [covariance(0), covariance(0.07)].map((c) => knownRange(lengths, c)!);
  expect(crowned!.u / bare!.u).toBeCloseTo(1, 1);
  expect(Math.abs(crowned!.mean - bare!.mean)).toBeLessThan(0.0005);
});
