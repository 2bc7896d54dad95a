import { describe, expect, test } from 'vitest';
import { solidOf, trueShape, type DieShape } from '../src/bias/die/die-shape.ts';
import { unevenDice } from '../src/bias/kernel/kernel-design.ts';
import { pearson } from '../src/bias/log/count-tests.ts';
import { HAND, TABLE_NAMES, TABLES, type TableName } from '../src/bias/throws/tables.ts';
import { tallyOf, type Tally } from '../src/bias/throws/throw-blocks.ts';
import { throwBody, type ThrowBody } from '../src/bias/throws/throw-body.ts';
import { thrower } from '../src/bias/throws/throws.ts';
import { withAllRadii, withAxis, withCrown, withMark, withMassTowards } from '../src/bias/meaning/what-if.ts';
import { bar, barDeviance, BUDDEN } from '../src/cli/published-bars.ts';
import { DIE_KINDS } from '../src/geometry/solid.ts';

// The counts here are small so that the whole gate stays short; `npm run bench -- rolls --long` makes the same checks with millions of throws.

const bodyOf = (shape: DieShape): ThrowBody => {
  const body = throwBody(shape);
  if (!body.ok) throw new Error(JSON.stringify(body.error));
  return body.value;
};
const evenness = ({ counts, throws }: Tally): number =>
  pearson(
    counts,
    counts.map(() => throws / counts.length),
  ).p;

describe('a true die is even, loses energy only, and settles', () => {
  test.each(DIE_KINDS.flatMap((kind) => TABLE_NAMES.map((table) => [kind, table] as const)))(
    '%s on %s',
    (kind, table) => {
      const tally = tallyOf(bodyOf(trueShape(kind)), table, 2024, 0, 8000);
      expect(evenness(tally)).toBeGreaterThan(0.001);
      // Rounding of sums of about 1e5; nothing else may add.
      expect(tally.energyGain).toBeLessThan(1e-12);
      expect(tally.unsettled).toBe(0);
    },
  );
});

describe('energy falls also where the spin wanders in flight and corners differ', () => {
  test.each(DIE_KINDS)('uneven %s', (kind) => {
    const tally = tallyOf(bodyOf(unevenDice(kind, 1, 5, 1)[0]!), 'felt', 3, 0, 2500);
    // The spin is followed to 1e-8 of its energy per step.
    expect(tally.energyGain).toBeLessThan(1e-7);
    expect(tally.unsettled).toBe(0);
  });
});

describe('what is alike on all faces stays even', () => {
  const shapes: readonly (readonly [string, DieShape])[] = [
    ['a d6 with corners of 0.1 mm', withAllRadii(trueShape('d6'), 0.1)],
    ['a d6 with corners of 3 mm', withAllRadii(trueShape('d6'), 3)],
    ['a d20 with corners of 1.2 mm', withAllRadii(trueShape('d20'), 1.2)],
    ['a d6 with six crowns', { ...trueShape('d6'), crowns: [0.1, 0.1, 0.1, 0.1, 0.1, 0.1] }],
    ['a d4 with a moved face', { ...trueShape('d4'), distances: [5.7, 5.5, 5.5, 5.5] }],
    ['a d10 of another mould', { ...trueShape('d10'), apex: 1.1 }],
  ];
  test.each(shapes)('%s', (_, shape) => {
    for (const table of ['wood', 'felt'] as const)
      expect(evenness(tallyOf(bodyOf(shape), table, 7, 0, 10_000))).toBeGreaterThan(0.001);
  });
});

test('a throw depends on its seed and number alone', () => {
  const body = bodyOf(trueShape('d20'));
  const run = thrower(body, TABLES.wood, HAND);
  const row = [...run(5, 0, 40)];
  expect([...run(5, 0, 40)]).toEqual(row);
  // Two are thrown side by side: here each has another neighbour, and the last none.
  expect([...run(5, 3, 8)]).toEqual(row.slice(3, 11));
  expect([...run(5, 17, 1)]).toEqual([row[17]]);
  expect([...thrower(body, TABLES.wood, HAND)(5, 2, 1)]).toEqual([row[2]]);
  expect([...run(6, 3, 1)]).not.toEqual([row[3]]);
});

/** Share of throws in which one of `faces` lies down. */
function share(shape: DieShape, table: TableName, faces: readonly number[], throws: number, seed = 11): number {
  const { counts } = tallyOf(bodyOf(shape), table, seed, 0, throws);
  return faces.reduce((s, f) => s + counts[f]!, 0) / throws;
}

// Values of another simulator of the same impact law that treats resting contacts as small hops, 16 million throws each; the bands hold
// them within three to four standard errors of the throws made here.
describe('effects are those of another simulator', () => {
  test('one axis of a d6: d ln p / d ln axis -2.85', () => {
    const d6 = trueShape('d6', 19, 1);
    const [short, long] = [0.95, 1.05].map((f) => share(withAxis(d6, 0, 19 * f), 'wood', [0, 1], 25_000));
    expect(Math.abs(Math.log(long! / short!) / Math.log(1.05 / 0.95) + 2.85)).toBeLessThan(0.35);
  });
  test('one axis of a d12: -11', () => {
    const d12 = trueShape('d12');
    const pair = [0, solidOf('d12').opposite[0]!];
    const [short, long] = [0.98, 1.02].map((f) => share(withAxis(d12, 0, 18.5 * f), 'wood', pair, 12_000));
    expect(Math.abs(Math.log(long! / short!) / Math.log(1.02 / 0.98) + 11)).toBeLessThan(2.5);
  });

  /** Change of the chance of face 0, %, from the same throws with and without. */
  const change = (shape: DieShape, base: DieShape, table: TableName, throws: number): number => {
    const [one, other] = [shape, base].map((s) => [...thrower(bodyOf(s), TABLES[table], HAND)(12, 0, throws)]);
    let sum = 0;
    for (let k = 0; k < throws; k++) sum += (one![k]!.face === 0 ? 1 : 0) - (other![k]!.face === 0 ? 1 : 0);
    return (100 * base.labels.length * sum) / throws;
  };
  const d6 = trueShape('d6', 19, 1);
  test('centre of mass of a d6 0.1 mm towards a face: +2.6 %', () => {
    expect(Math.abs(change(withMassTowards(d6, 0, 0.4), d6, 'wood', 20_000) / 4 - 2.6)).toBeLessThan(1);
  });
  test('a mark of 0.1 mm at the middle of a d6 face: -3.5 %', () => {
    const marked = withMark(d6, { face: 0, at: [0, 0], height: 0.1, width: 1 });
    expect(Math.abs(change(marked, d6, 'wood', 20_000) + 3.4)).toBeLessThan(1);
  });
  test('a crown of 0.1 mm on a d6 face: -4.4 %', () => {
    expect(Math.abs(change(withCrown(d6, 0, 0.1), d6, 'wood', 20_000) + 4.4)).toBeLessThan(1.2);
  });
});

test("Budden's 15 bars, nothing fitted (solid angle 1380, the best one-parameter law fitted to them 100)", () => {
  const throws = 2500;
  const ends = BUDDEN.ratio.map((r) => share(bar(r), 'wood', [4, 5], throws));
  // With this few throws their own chance adds about 6.
  expect(barDeviance(ends, 1 / throws)).toBeLessThan(130);
});
