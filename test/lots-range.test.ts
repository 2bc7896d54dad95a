import { describe, expect, test } from 'vitest';
import { conformity, verdict } from '../src/lots/conformity.ts';
import { demoLot } from '../src/lots/demo-lot.ts';
import { dieFromResult } from '../src/lots/die-record.ts';
import { NO_LIMITS, type Lot, type LotDie } from '../src/lots/lot.ts';
import { quantities } from '../src/lots/quantities.ts';
import { axesCovarianceOf, rangeShares, RISK } from '../src/lots/range-verdict.ts';
import { lotText, parsed, readLot } from '../src/lots/read-lot.ts';
import { drawnRange, FEW_DRAWS, jointDraws, spread } from '../src/maths/joint-draws.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';
import { axesWithin } from '../src/report/record/answer.ts';
import { assess } from '../src/report/record/assess.ts';
import { NO_LIMITS as NO_TOLERANCE } from '../src/judging/tolerance.ts';
import { madeResult } from './support/made-result.ts';

/** A made d6 with these axes, each with `own` beside what all share; mm. */
function resultOf(lengths: readonly number[], own: number): ReturnType<typeof madeResult> {
  const made = madeResult('d6');
  const axes = lengths.map((length, i) => ({ ...made.axes[i], length }));
  const axesCovariance = lengths.map((_, i) => lengths.map((_l, j) => 1e-4 + (i === j ? own * own : 0)));
  const rangeOfAxes = { value: Math.max(...lengths) - Math.min(...lengths), u: own * Math.SQRT2 };
  return { ...made, axes, axesCovariance, rangeOfAxes };
}
function dieOf(lengths: readonly number[], own: number): LotDie {
  const read = dieFromResult(resultOf(lengths, own), 'A');
  if (!read.ok) throw new Error(JSON.stringify(read.error));
  return read.value.die;
}
const lotOf = (die: LotDie, upper: number): Lot => ({
  ...demoLot(),
  kind: 'd6',
  limits: { ...NO_LIMITS, rangeOfAxes: { lower: null, upper } },
  dice: [die],
});

describe('the range of axes in a lot', () => {
  test('where two axes nearly tie for longest, the outer pair alone would pass a die that joint draws leave open', () => {
    const die = dieOf([15, 15.0195, 15.02], 0.005);
    const lot = lotOf(die, 0.0325);
    expect(verdict(die.rangeOfAxes.value, die.rangeOfAxes.u, null, 0.0325)).toBe('within');
    expect(conformity(lot, quantities(lot))!.dice[0]).toMatchObject({ verdict: 'undecided', because: ['rangeOfAxes'] });
  });
  test('a range that a die on the limit would often be measured with is left open; a larger one is outside', () => {
    const of = (range: number): string => {
      const lot = lotOf(dieOf([15, 15, 15 + range], 0.005), 0.002);
      return conformity(lot, quantities(lot))!.dice[0]!.verdict;
    };
    expect([of(0.001), of(0.012), of(0.03)]).toEqual(['undecided', 'undecided', 'outside']);
    expect(rangeShares(dieOf([15, 15, 15.012], 0.005), { lower: null, upper: 0.002 })!.belowUpper).toBeLessThan(RISK);
  });
  test('a die is as likely within in a lot as in its own report', () => {
    for (const high of [0.02, 0.026, 0.03, 0.034]) {
      const result = resultOf([15, 15.0195, 15.02], 0.005);
      const limits = { low: null, high };
      const [finding] = assess(result, null, { ...NO_TOLERANCE, range: limits }, { kind: 'guard' }).findings;
      const { belowUpper } = rangeShares(dieOf([15, 15.0195, 15.02], 0.005), { lower: null, upper: high })!;
      // Decided without draws, the share is a bound on the far side of the risk.
      if (finding.probability > RISK && finding.probability < 1 - RISK)
        expect(Math.abs(belowUpper - finding.probability)).toBeLessThan(0.01);
      else expect(belowUpper > 0.5).toBe(finding.probability > 0.5);
    }
  });
  test('what the pairs of axes decide without draws, 20 000 draws of another stream decide so too', () => {
    const random = seededRandom(5);
    const normal = seededNormal(seededRandom(6));
    const decided = new Set<string>();
    for (let i = 0; i < 60; i++) {
      const own = 0.003 + 0.005 * random();
      const lengths = [15, 15 + 0.03 * random(), 15 + 0.03 * random()];
      const upper = 0.05 * random();
      const shares = rangeShares(dieOf(lengths, own), { lower: null, upper })!;
      let hits = 0;
      for (let k = 0; k < 20_000; k++)
        if (spread(Float64Array.from(lengths, (l) => l + own * normal())) <= upper) hits++;
      const share = hits / 20_000;
      if (shares.belowUpper >= 1 - RISK) expect(share).toBeGreaterThan(1 - RISK - 0.01);
      else if (shares.belowUpper <= RISK) expect(share).toBeLessThan(RISK + 0.01);
      else expect(Math.abs(share - shares.belowUpper)).toBeLessThan(0.015);
      decided.add(shares.belowUpper >= 1 - RISK ? 'within' : shares.belowUpper <= RISK ? 'outside' : 'open');
    }
    expect(decided.size).toBe(3);
  });
  test('a covariance that is none, as a file may hold, decides nothing: the stated uncertainty does', () => {
    const die = {
      ...dieOf([15, 15.02, 15.1], 0.005),
      axesCovariance: [
        [1, 2, 0],
        [2, 1, 0],
        [0, 0, -1],
      ],
    };
    expect(rangeShares(die, { lower: null, upper: 0.2 })).toBeNull();
    const lot = lotOf(die, 0.2);
    expect(conformity(lot, quantities(lot))!.dice[0]!.verdict).toBe(verdict(0.1, die.rangeOfAxes.u, null, 0.2));
  });
  test('a lower limit is judged from its own side', () => {
    const die = dieOf([15, 15.02, 15.1], 0.005);
    expect(rangeShares(die, { lower: 0.05, upper: 0.2 })).toMatchObject({ aboveLower: 1 });
    expect(rangeShares(die, { lower: 0.2, upper: null })!.aboveLower).toBeLessThan(1e-6);
    const near = rangeShares(die, { lower: 0.1, upper: null })!.aboveLower;
    expect(Math.abs(near - 0.5)).toBeLessThan(0.02);
  });
  test('a file without covariance: the four parts of its doubt, all axes alike', () => {
    const die = { ...demoLot().dice[0], axesCovariance: null };
    const k = die.axes.length;
    const covariance = axesCovarianceOf(die);
    const { ownMean, repeatedMean, ownDifference, repeatedDifference } = die.doubt.axes;
    const mean = covariance.reduce((s, x) => s + x, 0) / k ** 2;
    const difference = covariance[0] - covariance[1];
    // The demo's parts give its stated u to the digits stated.
    expect(mean).toBeCloseTo(ownMean ** 2 + repeatedMean ** 2, 5);
    expect(difference).toBeCloseTo(ownDifference ** 2 + repeatedDifference ** 2, 5);
    expect(covariance[k + 1]).toBeCloseTo(die.axes[1].u ** 2, 12);
  });
  test('the covariance of a result is kept in the lot file, and one of another size is refused by name', () => {
    const lot = lotOf(dieOf([15, 15.0195, 15.02], 0.005), 0.03);
    const json = parsed(lotText(lot));
    if (!json.ok) throw new Error();
    expect(readLot(json.value)).toMatchObject({
      ok: true,
      value: { dice: [{ axesCovariance: lot.dice[0].axesCovariance }] },
    });
    const two = {
      ...lot,
      dice: [
        {
          ...lot.dice[0],
          axesCovariance: [
            [1, 0],
            [0, 1],
          ],
        },
      ],
    };
    const short = parsed(lotText(two));
    if (!short.ok) throw new Error();
    const refused = readLot(short.value);
    expect(refused.ok).toBe(false);
    expect(JSON.stringify(refused)).toContain('axesCovariance');
  });
});

describe('what the axes differ by at most', () => {
  test('of axes that tie: the 97.725 % point of the range, by Tippett 1.6926 and 0.8884 sigma at three, beyond mean and twice u of none', () => {
    const covariance = Float64Array.from([1, 0, 0, 0, 1, 0, 0, 0, 1]);
    const most = drawnRange([0, 0, 0], covariance)!.most;
    // Studentised range with infinite degrees of freedom (tables: q(0.95; 3) = 3.31, q(0.99; 3) = 4.12).
    expect(most).toBeGreaterThan(3.31);
    expect(most).toBeLessThan(4.12);
    let above = 0;
    jointDraws([0, 0, 0], covariance, (draw) => void (spread(draw) > 3.314 && above++));
    expect(above / 100_000).toBeCloseTo(0.05, 2);
    expect(FEW_DRAWS).toBeGreaterThanOrEqual(20_000);
  });
  test('the answer does not promise less than the draws', () => {
    const tied = resultOf([15, 15.019, 15.0195, 15.02].slice(0, 3), 0.005);
    expect(axesWithin(tied)).toBeGreaterThan(tied.rangeOfAxes.value + 2 * 0.005);
    const alone = resultOf([15, 15.05, 15.2], 0.005);
    expect(axesWithin(alone)).toBeCloseTo(0.2 + 2 * 0.005 * Math.SQRT2, 3);
  });
});
