import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { expect, test } from 'vitest';
import { ASSEMBLED, assembledText } from '../config/assembled.ts';
import { trueShape, type DieShape } from '../src/bias/die/die-shape.ts';
import { principalAxes } from '../src/bias/die/principal-axes.ts';
import { unevenDice } from '../src/bias/kernel/kernel-design.ts';
import { HAND, TABLES } from '../src/bias/throws/tables.ts';
import { throwBody } from '../src/bias/throws/throw-body.ts';
import { thrower } from '../src/bias/throws/throws.ts';

test('the module kept is what its source makes', async () => {
  const { path, text } = await assembledText(ASSEMBLED.throws);
  expect(await readFile(path, 'utf8')).toBe(text);
});

/** Digest of every number of 400 throws, to the last bit. */
function digest(shape: DieShape): string {
  const body = throwBody(shape);
  if (!body.ok) throw new Error(body.error.code);
  // What the shape's own arithmetic leaves to the engine is rounded away: the throws are pinned here, not it.
  const rounded = Object.fromEntries(
    Object.entries(body.value).map(([name, v]: [string, number | Float64Array]) => [
      name,
      typeof v === 'number' ? Math.fround(v) : Float64Array.from(v, Math.fround),
    ]),
  ) as unknown as typeof body.value;
  const hash = createHash('sha256');
  for (const thrown of thrower(rounded, TABLES.felt, HAND)(17, 100, 400))
    hash.update(Float64Array.from(Object.values(thrown), Number));
  return hash.digest('hex').slice(0, 16);
}

test.each([
  ['a true d6', trueShape('d6'), '99db7b509a87ea38'],
  ['an uneven d20', unevenDice('d20', 1, 11, 0.5)[0]!, '0af53788f518ef5d'],
])('the same bits on every machine: %s', (_, shape, expected) => {
  expect(digest(shape)).toBe(expected);
});

test('principal axes: a box that was turned has the moments of the box', () => {
  // Moments of a box of 1 x 2 x 3 and mass 1 about its middle: (b^2 + c^2) / 12 and so on (any table of moments of inertia).
  const moments = [13 / 12, 10 / 12, 5 / 12];
  const [c, s] = [Math.cos(0.6), Math.sin(0.6)];
  const rows = [
    [c, s, 0],
    [-s * c, c * c, s],
    [s * s, -c * s, c],
  ];
  const entry = (i: number, j: number): number =>
    moments.reduce((sum, m, k) => sum + m * rows[k]![i]! * rows[k]![j]!, 0);
  const found = principalAxes(
    Float64Array.of(entry(0, 0), entry(1, 1), entry(2, 2), entry(0, 1), entry(0, 2), entry(1, 2)),
  );
  expect([...found.moments].sort().reverse()).toEqual(moments.map((m) => expect.closeTo(m, 12) as number));
  const a = found.axes;
  // A turn: its determinant is 1, and each axis gives its own moment.
  const det =
    a[0]! * (a[4]! * a[8]! - a[5]! * a[7]!) -
    a[1]! * (a[3]! * a[8]! - a[5]! * a[6]!) +
    a[2]! * (a[3]! * a[7]! - a[4]! * a[6]!);
  expect(det).toBeCloseTo(1, 12);
  for (let k = 0; k < 3; k++) {
    const image = [0, 1, 2].map((i) => [0, 1, 2].reduce((sum, j) => sum + entry(i, j) * a[3 * k + j]!, 0));
    [0, 1, 2].forEach((i) => expect(image[i]).toBeCloseTo(found.moments[k]! * a[3 * k + i]!, 12));
  }
});
