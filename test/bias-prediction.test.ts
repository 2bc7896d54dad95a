import { describe, expect, test } from 'vitest';
import { trueShape, type DieShape } from '../src/bias/die/die-shape.ts';
import { shapeAndRolls } from '../src/bias/log/joint.ts';
import { unevenDice } from '../src/bias/kernel/kernel-design.ts';
import { advantage, atLeast, meanRoll, rollsToNotice, unevenness } from '../src/bias/meaning/meaning.ts';
import {
  chances,
  compareNames,
  NORMAL_95,
  kernelPrediction,
  looksEven,
  throwsPrediction,
  weighted,
  type Prediction,
} from '../src/bias/meaning/prediction.ts';
import { sentences } from '../src/bias/meaning/sentences.ts';
import {
  compared,
  readyComparisons,
  withAxis,
  withEdgeRadius,
  withMark,
  withMassTowards,
} from '../src/bias/meaning/what-if.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';

const predicted = (shape: DieShape, covariance: Float64Array | null = null): Prediction => {
  const prediction = kernelPrediction({ shape, covariance }, 'unknown');
  if (!prediction.ok) throw new Error(prediction.error.code);
  return prediction.value;
};
const d6 = trueShape('d6');
const d20 = trueShape('d20');
/** A covariance with standard deviation `u` of each distance and radius, mm. */
const independent = (shape: DieShape, u: number): Float64Array => {
  const n = shape.distances.length + shape.radii.length;
  return Float64Array.from({ length: n * n }, (_, q) => (q % (n + 1) === 0 ? u * u : 0));
};

test('numbers stand by value, other names after them by letter', () => {
  expect(['moon', '10', 'axe', '2', '00'].sort(compareNames)).toEqual(['00', '2', '10', 'axe', 'moon']);
  expect(['2', 'axe', 'moon', '10'].reverse().sort(compareNames)).toEqual(['2', '10', 'axe', 'moon']);
});

describe('numbers', () => {
  test('the number rolled is on the opposite face: a short 1-6 axis gives 1 and 6, a centre of mass towards 6 gives 1', () => {
    const six = d6.labels.indexOf('6');
    const short = predicted(withAxis(d6, six, 18.8));
    expect(short.names).toEqual(['1', '2', '3', '4', '5', '6']);
    expect(short.p[0]).toBeCloseTo(short.p[5]!, 9);
    expect(short.p[0]! * 6).toBeGreaterThan(1.02);
    const heavy = predicted(withMassTowards(d6, six, 0.1));
    expect(heavy.p[0]! * 6).toBeGreaterThan(1.015);
    expect(heavy.p[5]! * 6).toBeLessThan(0.985);
  });
  test('a d4 rolls the face that lies down', () => {
    const d4 = trueShape('d4');
    const heavy = predicted(withMassTowards(d4, d4.labels.indexOf('3'), 0.1));
    expect(Math.max(...heavy.p)).toBe(heavy.p[heavy.names.indexOf('3')]);
  });
});

describe('doubt', () => {
  test('comes in parts that add up, and grows with the measured one', () => {
    const shape = withAxis(d20, 0, 19.8);
    const [sure, unsure] = [predicted(shape, independent(shape, 0.002)), predicted(shape, independent(shape, 0.02))];
    sure.covariance.forEach((c, i) =>
      expect(c).toBeCloseTo(
        sure.measured[i]! + sure.model[i]! + sure.tables[i]! + sure.kernel[i]! + sure.sampling[i]!,
        15,
      ),
    );
    expect(unsure.measured[0]! / sure.measured[0]!).toBeCloseTo(100, 6);
    expect(unsure.model).toEqual(sure.model);
  });
  test('of the measured shape is what scatter of the measurement does', () => {
    const u = 0.01;
    const { measured, names } = predicted(d6, independent(d6, u));
    const normal = seededNormal(seededRandom(6));
    const runs = 400;
    const squares = new Float64Array(6);
    for (let r = 0; r < runs; r++) {
      const p = predicted({
        ...d6,
        distances: d6.distances.map((d) => d + u * normal()),
        radii: d6.radii.map((x) => x + u * normal()),
      }).p;
      p.forEach((x, i) => (squares[i] = squares[i]! + Math.log(6 * x) ** 2 / runs));
    }
    // Standard error of a variance from 400 runs: 7 %; the band is four of them.
    names.forEach((_, i) => expect(Math.abs(squares[i]! / measured[i * 7]! - 1)).toBeLessThan(0.28));
  });
  test('throws add their own and lose it with their number', () => {
    const counts = Float64Array.from([170, 165, 165, 170, 160, 170]);
    const of = (factor: number): Prediction => {
      const made = throwsPrediction({ shape: d6, covariance: null }, 'wood', {
        counts: counts.map((c) => c * factor),
        throws: 1000 * factor,
      });
      if (!made.ok) throw new Error(made.error.code);
      return made.value;
    };
    // Binomial: (1 - p) / (p n).
    expect(of(1).sampling[0]! * 1000).toBeCloseTo(1 / of(1).p[0]! - 1, 9);
    expect(of(1).sampling[0]! / of(100).sampling[0]!).toBeCloseTo(100, 0);
  });
  test("a mark's doubt on its own face is that of all others together: what one number loses the others win", () => {
    const marked = predicted(withMark(d20, { face: 3, at: [0, 0], height: 0.1, width: 1 }));
    const list = chances(marked);
    const at = list.reduce((least, { value }, i) => (value < list[least]!.value ? i : least), 0);
    const other = list[at === 0 ? 1 : 0]!;
    // As likely to do nothing at all on this face as on the others.
    expect(list[at]!.high > 1 / 20).toBe(other.low < 1 / 20);
    const all = weighted(
      marked,
      marked.p.map(() => 1),
    );
    expect(all.high - all.low).toBeLessThan(1e-9);
    // Chances of the others move with the share that the mark's face leaves them.
    const spread = (i: number): number => Math.sqrt(marked.model[i * 21]!) * marked.p[i]!;
    expect((19 * spread(at === 0 ? 1 : 0)) / spread(at)).toBeGreaterThan(0.99);
  });
  test('a true die looks even, one that is clearly off does not', () => {
    expect(looksEven(predicted(d20, independent(d20, 0.005)))).toBe(true);
    expect(looksEven(predicted(withAxis(d20, 0, 19.8), independent(d20, 0.002)))).toBe(false);
  });
  test('an interval lies about its value, inside 0 and 1', () => {
    for (const { value, low, high } of chances(predicted(withAxis(d6, 0, 18.7), independent(d6, 0.05)))) {
      expect(low).toBeGreaterThan(0);
      expect(low).toBeLessThan(value);
      expect(high).toBeGreaterThan(value);
      expect(high).toBeLessThanOrEqual(1);
    }
  });
});

describe('what it means', () => {
  const shape = unevenDice('d20', 1, 6, 0.5)[0]!;
  const prediction = predicted(shape, independent(shape, 0.005));
  test('the mean roll is the sum of numbers times chances; the sum of all chances is 1 without doubt', () => {
    const mean = meanRoll(prediction)!;
    expect(mean.value).toBeCloseTo(
      prediction.p.reduce((s, p, i) => s + p * Number(prediction.names[i]), 0),
      12,
    );
    expect(mean.even).toBe(10.5);
    const all = weighted(
      prediction,
      prediction.names.map(() => 1),
    );
    expect(all.value).toBeCloseTo(1, 12);
    expect(all.high - all.low).toBeLessThan(1e-9);
    expect(advantage(prediction)!.value).toBeCloseTo(100 * (mean.value - 10.5), 9);
  });
  test('its interval is what scatter of the logarithms does', () => {
    // ln p drawn from the prediction's own covariance by a factor of its diagonal-plus-common structure: here from single causes.
    const mean = meanRoll(prediction)!;
    const u = (mean.high - mean.value) / NORMAL_95;
    const step = 1e-5;
    const moved = prediction.p.map((p, i) => p * Math.exp(step * (i === 19 ? 1 : 0)));
    const sum = moved.reduce((s, p) => s + p, 0);
    const slope = (moved.reduce((s, p, i) => s + (p / sum) * Number(prediction.names[i]), 0) - mean.value) / step;
    expect(slope).toBeCloseTo(prediction.p[19]! * (20 - mean.value), 4);
    expect(u).toBeGreaterThan(Math.abs(slope) * Math.sqrt(prediction.covariance[19 * 21]!) * 0.01);
  });
  test("chances to reach a target fall with the target, from 1 to the highest number's", () => {
    const reach = [1, 2, 11, 20].map((t) => atLeast(prediction, t)!);
    expect(reach[0]!.value).toBeCloseTo(1, 12);
    expect(reach[3]!.value).toBeCloseTo(prediction.p[19]!, 12);
    expect(reach[2]!.even).toBe(0.5);
    expect(reach[1]!.value).toBeGreaterThan(reach[2]!.value);
  });
  test('a true die would never be noticed; an uneven one the sooner the more uneven', () => {
    expect(rollsToNotice(predicted(d20, independent(d20, 0.005))).high).toBe(Infinity);
    const [little, much] = [0.5, 1].map((scale) => predicted(unevenDice('d20', 1, 6, scale)[0]!));
    expect(unevenness(much!).value).toBeGreaterThan(unevenness(little!).value);
    expect(rollsToNotice(much!).value).toBeLessThan(rollsToNotice(little!).value);
  });
  test('names that are no numbers have chances but no mean', () => {
    const symbols = predicted({ ...d6, labels: ['sun', 'moon', 'star', 'tree', 'fish', 'bird'] });
    expect(meanRoll(symbols)).toBeNull();
    expect(sentences(symbols).join(' ')).not.toContain('Mean');
  });
  test('sentences do not overstate', () => {
    const even = sentences(predicted(d20, independent(d20, 0.005))).join(' ');
    expect(even).toContain('looks even');
    expect(even).toContain('no proof of evenness');
    const off = sentences(predicted(withAxis(d20, 0, 19.8), independent(d20, 0.002))).join(' ');
    expect(off).toMatch(/comes up .* more often than an even die's 5/);
    for (const text of [even, off]) {
      expect(text).toContain('Assumes solid, uniform material');
      expect(text).not.toMatch(/loaded|cheat|fair\b|guarantee|proves/i);
    }
  });
});

describe('shape and rolls together', () => {
  const shape = withAxis(d6, 0, 18.6);
  const prediction = predicted(shape, independent(shape, 0.005));
  const rolls = (p: ArrayLike<number>, n: number): number[] => Array.from(p, (x) => Math.round(x * n));
  test('rolls as predicted agree once they are many, and cannot tell while they are few', () => {
    expect(shapeAndRolls(prediction, rolls(prediction.p, 20_000)).verdict).toBe('agree');
    expect(shapeAndRolls(prediction, rolls(prediction.p, 200)).verdict).toBe('cannot-tell');
    expect(shapeAndRolls(prediction, rolls(prediction.p, 200)).moreRolls).toBeGreaterThan(1000);
  });
  test('rolls that favour another number disagree', () => {
    const skewed = prediction.p.map((p, i) =>
      i === 0 ? 1.3 * p : p * (1 - (0.3 * prediction.p[0]!) / (1 - prediction.p[0]!)),
    );
    expect(shapeAndRolls(prediction, rolls(skewed, 5000)).verdict).toBe('disagree');
  });
  test("the joint chances go from the shape's to the rolls' with the number of rolls, and are surer than both", () => {
    const target = [0.2, 0.16, 0.16, 0.16, 0.16, 0.16];
    const distance = (n: number): number =>
      Math.abs(shapeAndRolls(prediction, rolls(target, n)).chances[0]!.value - 0.2);
    expect(distance(100)).toBeGreaterThan(distance(100_000));
    expect(distance(1_000_000_000)).toBeLessThan(0.001);
    const alone = chances(prediction)[0]!;
    const joint = shapeAndRolls(prediction, rolls(prediction.p, 20_000)).chances[0]!;
    expect(joint.high - joint.low).toBeLessThan(alone.high - alone.low);
  });
  test("under the prediction the agreement's p is even: below 5 % in about 5 % of logs", () => {
    const random = seededRandom(3);
    let low = 0;
    const sure = { ...prediction, covariance: prediction.covariance.map((_, i) => (i % 7 === 0 ? 1e-10 : 0)) };
    for (let run = 0; run < 300; run++) {
      const counts = [0, 0, 0, 0, 0, 0];
      for (let i = 0; i < 300; i++) {
        let u = random();
        let f = 0;
        while (f < 5 && u >= prediction.p[f]!) u -= prediction.p[f++]!;
        counts[f]!++;
      }
      if (shapeAndRolls(sure, counts).agreement.p < 0.05) low++;
    }
    expect(low).toBeGreaterThan(4);
    expect(low).toBeLessThan(30);
  });
});

describe('what if', () => {
  test("an edge's radius is that of its two ends, and nothing else moves", () => {
    const changed = withEdgeRadius(d6, 0, 2);
    expect(changed.radii.filter((r) => r === 2).length).toBe(2);
    expect(changed.distances).toEqual(d6.distances);
  });
  test('every ready comparison differs in one thing, and says what it does', () => {
    const results = compared({ shape: d20, covariance: null }, 'wood');
    expect(results.map((r) => r.code)).toEqual(readyComparisons(d20).map((c) => c.code));
    const by = Object.fromEntries(results.map((r) => [r.code, r]));
    // A short axis gives its own two numbers more, a mark its number less, all corners alike change nothing.
    expect(by['short-axis']!.most.change).toBeGreaterThan(0.02);
    expect(by['mark']!.most.name).toBe('20');
    expect(by['mark']!.most.change).toBeLessThan(-0.02);
    expect(Math.abs(by['tumbled']!.most.change)).toBeLessThan(1e-3);
  });
});
