import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { acceptanceOf } from '../src/lots/acceptance.ts';
import type { Conformity, DieVerdict } from '../src/lots/conformity.ts';
import { acceptance, operatingCharacteristic, shareAccepted } from '../src/lots/operating-characteristic.ts';
import { AQLS, codeLetter, LEVELS, samplingPlan, tableCell, type SamplingPlan } from '../src/lots/sampling-plan.ts';
import { binomialCdf, hypergeometricCdf, shareInterval } from '../src/maths/counts.ts';

const planned = (size: number, aql: number, level: string): SamplingPlan => {
  const plan = samplingPlan(size, aql, level);
  if (!plan.ok) throw new Error(plan.error.code);
  return plan.value;
};

// ISO 2859-1:1999 table 1, sample size code letters; compared with copies of the table in MIL-STD-105E (same letters), not with the
// standard's own print.
test.each([
  [2, 'II', 'A'],
  [8, 'III', 'B'],
  [25, 'I', 'B'],
  [50, 'II', 'D'],
  [90, 'III', 'F'],
  [150, 'II', 'F'],
  [280, 'I', 'E'],
  [281, 'II', 'H'],
  [1200, 'II', 'J'],
  [1201, 'I', 'H'],
  [10_000, 'III', 'M'],
  [35_000, 'II', 'M'],
  [500_000, 'I', 'M'],
  [500_001, 'III', 'R'],
] as const)('code letter of %i at level %s: %s', (size, level, letter) => {
  expect(codeLetter(size, level)).toBe(letter);
});

// ISO 2859-1:1999 table 2-A (MIL-STD-105E table II-A has the same plans), from memory of the tables: lot, AQL, level, letter used, n, Ac.
test.each([
  [1200, 1, 'II', 'J', 80, 2], // straight
  [1200, 2.5, 'II', 'J', 80, 5],
  [500, 1, 'II', 'H', 50, 1],
  [500, 0.65, 'II', 'J', 80, 1], // arrow down
  [500, 0.4, 'II', 'G', 32, 0], // arrow up
  [100, 0.65, 'II', 'F', 20, 0],
  [100, 1, 'II', 'E', 13, 0], // arrow up
  [100, 1.5, 'II', 'G', 32, 1], // arrow down
  [3200, 4, 'II', 'K', 125, 10],
  [20_000, 0.065, 'II', 'L', 200, 0], // arrow up
  [8, 4, 'II', 'B', 3, 0], // arrow down from A
  [20, 2.5, 'II', 'C', 5, 0],
  [20_000, 10, 'II', 'K', 125, 21], // arrow up over two rows
  [1_000_000, 0.01, 'III', 'Q', 1250, 0], // up from R
  [1_000_000, 0.025, 'III', 'R', 2000, 1],
] as const)('plan of %i at AQL %f, level %s: %s, %i, %i', (size, aql, level, letter, sample, accept) => {
  expect(planned(size, aql, level)).toMatchObject({ usedLetter: letter, sample, accept, reject: accept + 1 });
});

test('a sample as large as the lot: each die is inspected', () => {
  expect(planned(20, 0.01, 'II')).toMatchObject({ wholeLot: true, sample: 20, accept: 0 });
});

test('every lot size, AQL and level leads to a plan; arrows point at plans', () => {
  for (const size of [2, 9, 16, 26, 51, 91, 151, 281, 501, 1201, 3201, 10_001, 35_001, 150_001, 500_001])
    for (const aql of AQLS)
      for (const level of LEVELS) {
        const { usedLetter, accept } = planned(size, aql, level);
        expect(tableCell(usedLetter, aql)).toBe(accept);
      }
});

test.each([
  [1, 1, 'II', 'lot-size'],
  [10.5, 1, 'II', 'lot-size'],
  [NaN, 1, 'II', 'lot-size'],
  [100, 0.9, 'II', 'aql'],
  [100, 1, 'IV', 'level'],
])('no plan for %d, %d, %s: %s', (size, aql, level, code) => {
  expect(samplingPlan(size, aql, level)).toMatchObject({ ok: false, error: { code } });
});

describe('operating characteristic', () => {
  // Binomial sums written out.
  const choose = (n: number, k: number): number => (k === 0 ? 1 : (choose(n, k - 1) * (n - k + 1)) / k);
  const direct = (c: number, n: number, p: number): number =>
    Array.from({ length: c + 1 }, (_, k) => choose(n, k) * p ** k * (1 - p) ** (n - k)).reduce((s, v) => s + v, 0);
  test.each([
    [80, 2],
    [125, 10],
    [20, 0],
    [315, 21],
  ])('of n %i, Ac %i against the binomial', (n, c) => {
    const plan = { ...planned(1200, 1, 'II'), sample: n, accept: c };
    for (const { share, accepted } of operatingCharacteristic(plan, 1e6))
      expect(accepted).toBeCloseTo(direct(c, n, share), 12);
  });
  // ISO 2859-1 table 10-J: 80, Ac 2: accepted 95.0 % at 1.03, 50.0 % at 3.33, 10.0 % at 6.52 per cent; from memory of MIL-STD-105E.
  test.each([
    [0.95, 1.03],
    [0.5, 3.33],
    [0.1, 6.52],
  ])('letter J, AQL 1: accepted with %f at %f %%', (chance, percent) => {
    expect(100 * shareAccepted(planned(1200, 1, 'II'), 1e6, chance)).toBeCloseTo(percent, 1);
  });
  test('small lot: drawn without putting back', () => {
    // 5 of 20 drawn, 2 marked, none may be: C(18,5) / C(20,5) = 8568 / 15504.
    expect(acceptance({ ...planned(20, 2.5, 'II'), sample: 5, accept: 0 }, 20, 0.1)).toBeCloseTo(8568 / 15504, 12);
    expect(hypergeometricCdf(1, 5, 2, 20)).toBeCloseTo(1 - choose(18, 3) / choose(20, 5), 12);
    const all = { ...planned(20, 0.01, 'II') };
    expect(operatingCharacteristic(all, 20).map((p) => p.accepted)).toEqual([1, 0]);
  });
  test('falls, from certain acceptance on', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 2, max: 1e5 }),
        fc.constantFrom(...AQLS.slice(0, 16)),
        fc.constantFrom(...LEVELS),
        (size, aql, level) => {
          const curve = operatingCharacteristic(planned(size, aql, level), size);
          expect(curve[0]).toEqual({ share: 0, accepted: 1 });
          curve.slice(1).forEach((p, i) => expect(p.accepted).toBeLessThanOrEqual(curve[i]!.accepted + 1e-12));
        },
      ),
      { numRuns: 40, seed: 1 },
    );
  });
  test('cumulative chances run from 0 to 1', () => {
    expect([binomialCdf(-1, 5, 0.2), binomialCdf(5, 5, 0.2), binomialCdf(0, 5, 0)]).toEqual([0, 1, 1]);
    expect([hypergeometricCdf(-1, 5, 3, 9), hypergeometricCdf(3, 5, 3, 9)]).toEqual([0, 1]);
  });
  // Clopper and Pearson (1934): none of 10 leaves up to 1 - 0.025^(1/10).
  test('interval of a share', () => {
    expect(shareInterval(0, 10)[1]).toBeCloseTo(1 - 0.025 ** 0.1, 12);
    expect(shareInterval(10, 10)).toEqual([0.025 ** 0.1, 1].map((v) => expect.closeTo(v, 12) as number));
  });
});

describe('accept or reject by count', () => {
  const found = (...verdicts: DieVerdict[]): Conformity => ({
    dice: verdicts.map((verdict, i) => ({ label: String(i), verdict, because: [] })),
    within: 0,
    undecided: 0,
    outside: 0,
    share: { value: 0, low: 0, high: 0 },
  });
  const many = (n: number): DieVerdict[] => Array.from({ length: n }, () => 'within');
  // 500 dice, AQL 1, level II: 50 dice, accept with 1.
  const verdict = (...v: DieVerdict[]): string => {
    const out = acceptanceOf({ lotSize: 500, aql: 1, level: 'II' }, v.length > 0 ? found(...v) : null);
    return out.ok ? out.value.verdict : out.error.code;
  };
  test.each([
    ['accept', [...many(49), 'outside']],
    ['reject', [...many(48), 'outside', 'outside']],
    ['undecided', [...many(48), 'outside', 'undecided']],
    ['accept', [...many(49), 'undecided']],
    ['more-dice', many(49)],
    ['reject', ['outside', 'outside']],
    ['accept', [...many(50), 'outside', 'outside']],
    ['no-limits', []],
  ] as const)('%s', (expected, verdicts) => expect(verdict(...verdicts)).toBe(expected));
});
