import { describe, expect, test } from 'vitest';
import { crossing } from '../src/lots/crossing.ts';
import { finishing } from '../src/lots/finishing.ts';
import { BEND, fit, fittedTrend, trendAt, type FittedTrend } from '../src/lots/fitted-trend.ts';
import { demoLot, DEMO } from '../src/lots/demo-lot.ts';
import { quantities } from '../src/lots/quantities.ts';
import { tQuantile } from '../src/maths/distributions.ts';
import { LOT_WORDS, PLAIN_NUMBERS } from '../src/lots/lot-words.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';

const fitted = (time: readonly number[], value: readonly number[]): FittedTrend => {
  const trend = fittedTrend(time, value);
  if (!trend.ok) throw new Error(trend.error.code);
  return trend.value;
};

describe('fitted trend', () => {
  test('a straight course stays a line, a bent one becomes a parabola', () => {
    const normal = seededNormal(seededRandom(1));
    const time = Array.from({ length: 20 }, (_, i) => i);
    expect(
      fitted(
        time,
        time.map((t) => 1 + 0.1 * t + 0.01 * normal()),
      ).degree,
    ).toBe(1);
    const bent = fitted(
      time,
      time.map((t) => Math.sqrt(1 + t) + 0.01 * normal()),
    );
    expect([bent.degree, bent.p < BEND.p]).toEqual([2, true]);
    expect(bent.slope.value).toBeLessThan(
      fit(
        time,
        time.map((t) => Math.sqrt(1 + t)),
        1,
      ).slope.value,
    );
  });
  test('another unit or start of time changes the numbers by that alone', () => {
    const value = [0.41, 0.48, 0.5, 0.57, 0.61, 0.63, 0.7];
    const hours = [0, 1, 2, 3, 4, 5, 6];
    const minutes = hours.map((h) => 60 * h + 1e5);
    const [a, b] = [fitted(hours, value), fitted(minutes, value)];
    expect(b.slope.value * 60).toBeCloseTo(a.slope.value, 10);
    const [ca, cb] = [crossing(a, 1)!, crossing(b, 1)!];
    for (const key of ['time', 'low', 'high'] as const)
      expect(((cb[key]! - 1e5) / 60).toFixed(6)).toBe(ca[key]!.toFixed(6));
  });
  test.each([
    ['one-time', [1, 1, 1], [1, 2, 3]],
    ['few-values', [1, 2], [1, 2]],
    ['one-time', [], []],
  ])('%s: none', (code, time, value) => expect(fittedTrend(time, value)).toMatchObject({ ok: false, error: { code } }));
});

describe('crossing of a limit', () => {
  // Fieller (1954): with g = t^2 s^2 / (b^2 Sxx), ends x = xm + (d -+ (t s / |b|) sqrt((1 - g) / n + d^2 / Sxx)) / (1 - g), d = (limit - ym) / b.
  test("is Fieller's closed form for a line", () => {
    const time = [0, 2, 4, 6, 8, 10, 12];
    const value = [0.4, 0.47, 0.49, 0.58, 0.6, 0.69, 0.7];
    const line = fit(time, value, 1);
    const n = time.length;
    const [xm, ym] = [6, value.reduce((s, v) => s + v, 0) / n];
    const sxx = time.reduce((s, x) => s + (x - xm) ** 2, 0);
    const [b, s, t] = [line.slope.value, line.sigma, tQuantile(0.975, n - 2)];
    const [g, d] = [(t * s) ** 2 / (b * b * sxx), (0.9 - ym) / b];
    const half = ((t * s) / Math.abs(b)) * Math.sqrt((1 - g) / n + (d * d) / sxx);
    const found = crossing(line, 0.9)!;
    expect(found.time).toBeCloseTo(xm + d, 8);
    expect(found.low).toBeCloseTo(xm + (d - half) / (1 - g), 6);
    expect(found.high).toBeCloseTo(xm + (d + half) / (1 - g), 6);
    expect(found.beyondData).toBe(true);
  });
  test('at its ends the limit lies on the edge of the band, what repeats counted in', () => {
    const line = fit([0, 1, 2, 3, 4, 5], [1, 1.2, 1.3, 1.6, 1.7, 2.1], 1);
    const found = crossing(line, 1.5, 0.05)!;
    const t = tQuantile(0.975, 4);
    for (const x of [found.low, found.high]) {
      const { value, u } = trendAt(line, x);
      expect(Math.abs(value - 1.5)).toBeCloseTo(t * Math.hypot(u, 0.05), 8);
    }
    const bare = crossing(line, 1.5)!;
    expect(found.high - found.low).toBeGreaterThan(bare.high - bare.low);
    expect(bare.beyondData).toBe(false);
  });
  test('a slope that could be none leaves an end open; a limit out of reach has no crossing', () => {
    const faint = fit([0, 1, 2, 3, 4], [1, 1.1, 0.95, 1.08, 1.04], 1);
    const found = crossing(faint, 1.06)!;
    expect([found.low, found.high]).toContain(Infinity);
    expect(crossing(fit([0, 1, 2, 3], [1, 1.001, 0.999, 1.0005], 1), 50)).toBeNull();
  });
  test('a parabola is met where it next meets the limit', () => {
    const time = [0, 1, 2, 3, 4, 5, 6, 7];
    const value = time.map((t, i) => 1 + 0.2 * t - 0.01 * t * t + (i % 2 ? 0.001 : -0.001));
    const found = crossing(fit(time, value, 2), 1.5)!;
    expect(found.time!).toBeCloseTo(10 - Math.sqrt(50), 1);
    expect(found.low).toBeLessThan(found.time!);
  });
  test('nothing is told behind a vertex, or farther than two spans of the data', () => {
    // Measured for 20 h, rising, its parabola turns at 40 h at 2.6 and is back at 1 at 80 h, within the band's reach of any lower limit below.
    const time = Array.from({ length: 21 }, (_, i) => i);
    const bent = fit(
      time,
      time.map((t, i) => 1 + 0.08 * t - 0.001 * t * t + (i % 2 ? 0.001 : -0.001)),
      2,
    );
    expect(crossing(bent, 0.95)?.time ?? -1).toBeLessThan(0);
    const upper = crossing(bent, 2.4)!;
    expect(upper.time!).toBeCloseTo(40 - Math.sqrt(200), 0);
    expect(upper.high === Infinity || upper.high <= 40).toBe(true);
    expect(crossing(bent, 3)).toBeNull();
    const line = fit(
      time,
      time.map((t, i) => 1 + 0.01 * t + (i % 2 ? 0.001 : -0.001)),
      1,
    );
    expect(crossing(line, 1.55)!.time!).toBeCloseTo(55, 0);
    expect(crossing(line, 1.8)).toBeNull();
  });
  test('of two limits ahead the earlier alone is told', () => {
    // Rises through the upper limit after 33 h and would fall through the lower one after 110 h.
    const lot = demoLot();
    const dice = lot.dice.map((die, i) => ({ ...die, time: (20 * i) / (lot.dice.length - 1) }));
    const moved = dice.map((die, i) => ({
      ...die,
      meanAxis: { ...die.meanAxis, value: 15 + 0.002 * die.time - 0.000014 * die.time ** 2 + 1e-5 * (i % 2) },
    }));
    const start = 15;
    const limits = { ...lot.limits, meanAxis: { lower: start - 0.05, upper: start + 0.06 } };
    const axis = finishing({ ...lot, dice: moved, limits }, quantities({ ...lot, dice: moved, limits })).find(
      (f) => f.key === 'meanAxis',
    )!;
    const ahead = axis.crossings.filter(({ crossing: c }) => c !== null && (c.time ?? c.low) > 20);
    expect(ahead.map((c) => c.limit)).toEqual(['upper']);
    expect(ahead[0]!.crossing!.time!).toBeCloseTo(42.9, 0);
    expect(axis.crossings.find((c) => c.limit === 'lower')?.crossing?.time ?? 0).toBeLessThan(1);
  });
  test('holds the true time as often as it says', () => {
    const normal = seededNormal(seededRandom(9));
    const time = Array.from({ length: 12 }, (_, i) => i);
    const runs = 500;
    const held = Array.from({ length: runs }, () => {
      const found = crossing(
        fit(
          time,
          time.map((t) => 0.4 + 0.05 * t + 0.03 * normal()),
          1,
        ),
        1.2,
      );
      return found !== null && found.low <= 16 && found.high >= 16;
    }).filter(Boolean).length;
    expect(Math.abs(held / runs - 0.95)).toBeLessThan(3 * Math.sqrt((0.95 * 0.05) / runs));
  });
});

describe('a lot along its tumbling', () => {
  const lot = demoLot();
  const course = finishing(lot, quantities(lot));
  const of = (key: string) => course.find((f) => f.key === key)!;
  test('the radius grows as was built in, and its time of crossing holds the true one, in 19 of 20 lots', () => {
    const lots = Array.from({ length: 60 }, (_, seed) => demoLot(seed));
    const held = lots.map((one) => {
      const radius = finishing(one, quantities(one)).find((f) => f.key === 'meanCornerRadius')!;
      if (!radius.trend.ok || !radius.followed) return [false, false];
      const { slope, degree } = radius.trend.value;
      const upper = radius.crossings.find((c) => c.limit === 'upper')!;
      const truth = (upper.at - DEMO.radius) / DEMO.radiusPerHour;
      const inside = ({ low, high }: { low: number; high: number }, x: number): boolean => low <= x && x <= high;
      return [degree === 1 && inside(slope, DEMO.radiusPerHour), inside(upper.crossing!, truth)];
    });
    // Binomial, 60 lots at 95 %: 52 or more with a chance of 0.99.
    expect(held.filter(([slope]) => slope).length).toBeGreaterThanOrEqual(52);
    expect(held.filter(([, time]) => time).length).toBeGreaterThanOrEqual(52);
  });
  test('a trend is followed: the chart shows what is left', () => {
    expect(Math.abs(of('meanCornerRadius').chart!.centre)).toBeLessThan(1e-9);
    expect(of('meanCornerRadius').chart!.values).toHaveLength(40);
    expect(of('rangeOfAxes')).toMatchObject({ followed: false, crossings: [] });
  });
  test('without times: by order', () => {
    const plain = { ...lot, dice: lot.dice.map((d) => ({ ...d, time: null })) };
    expect(finishing(plain, quantities(plain))[0]).toMatchObject({
      by: 'order',
      times: expect.arrayContaining([1, 40]) as number[],
    });
  });
});

test('capability in plain words: reached, missed, or not told by so few dice (Ppk of 4/3: common practice)', () => {
  const said = (capable: boolean | null, tongue: 'en' | 'de'): string =>
    LOT_WORDS[tongue].finding(
      { code: 'capability', key: 'meanAxis', ppk: { value: 1.13, low: 0.7, high: 1.56 }, capable },
      PLAIN_NUMBERS,
      (k) => k,
      'h',
    );
  expect(said(null, 'en')).toContain('so few dice do not tell whether it reaches the 1.33');
  expect(said(true, 'en')).toContain('at least the 1.33');
  expect(said(false, 'en')).toContain('less than the 1.33');
  for (const tongue of ['en', 'de'] as const)
    expect(new Set([true, false, null].map((c) => said(c, tongue))).size).toBe(3);
  expect(said(null, 'en')).not.toContain('may be the');
});
