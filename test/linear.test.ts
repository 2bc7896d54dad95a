import { expect, test } from 'vitest';
import { choleskyInPlace } from '../src/maths/linear.ts';
import { seededRandom } from '../src/maths/random.ts';

/** Row by row and number by number, as the definition has it. */
function plainFactor(a: Float64Array, n: number): Float64Array {
  const l = a.slice();
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) {
      let s = a[i * n + j]!;
      for (let k = 0; k < j; k++) s -= l[i * n + k]! * l[j * n + k]!;
      l[i * n + j] = i === j ? Math.sqrt(s) : s / l[j * n + j]!;
    }
  return l;
}

test('a Cholesky factor four rows at a time: to the last bit what it is row by row', () => {
  const random = seededRandom(3);
  for (let n = 1; n < 24; n++) {
    const a = Float64Array.from(
      { length: n * n },
      (_, k) => random() - 0.5 + (k % (n + 1) === 0 ? 1 + Math.sqrt(n) : 0),
    );
    const l = a.slice();
    expect(choleskyInPlace(l, n, 1e-13)).toBe(true);
    expect(Array.from(l)).toStrictEqual(Array.from(plainFactor(a, n)));
    // A pivot that falls to nothing beside its diagonal: the last two rows alike.
    if (n < 2) continue;
    for (let k = 0; k < n - 1; k++) a[n * (n - 1) + k] = a[n * (n - 2) + k]!;
    a[n * n - 1] = a[n * (n - 1) - 2]!;
    expect(choleskyInPlace(a.slice(), n, 1e-13)).toBe(false);
  }
});
