import { describe, expect, test } from 'vitest';
import { capability, ppInterval, ppkInterval } from '../src/lots/capability.ts';
import { CHART, controlChart, signals } from '../src/lots/control-chart.ts';
import { fit } from '../src/lots/fitted-trend.ts';
import { andersonDarling, andersonDarlingChance } from '../src/lots/normality.ts';
import { kruskalWallis, oneWay, randomEffects, welch } from '../src/lots/one-way.ts';
import { extremeDeviates } from '../src/lots/outliers.ts';
import { mannKendall } from '../src/lots/trend.ts';
import { normalSurvival } from '../src/maths/distributions.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';

describe('one-way analysis of variance', () => {
  // NIST/SEMATECH e-Handbook 3.2.3.1, shaft diameters by machine: the table of variance as printed there. From memory of the handbook.
  test('fixed groups: shafts of five machines', () => {
    const shafts = [
      [0.125, 0.127, 0.125, 0.126, 0.128],
      [0.118, 0.122, 0.12, 0.124, 0.119],
      [0.123, 0.125, 0.125, 0.124, 0.126],
      [0.126, 0.128, 0.126, 0.127, 0.129],
      [0.118, 0.129, 0.127, 0.12, 0.121],
    ];
    const table = oneWay(shafts)!;
    expect(table.between.squares).toBeCloseTo(0.000137, 6);
    expect(table.within.squares).toBeCloseTo(0.000132, 6);
    expect([table.between.df, table.within.df]).toEqual([4, 20]);
    expect(table.between.meanSquare).toBeCloseTo(0.000034, 6);
    // The handbook prints 4.86, the ratio of its rounded mean squares 0.000034 and 0.000007.
    expect(Number(table.between.meanSquare.toFixed(6)) / Number(table.within.meanSquare.toFixed(6))).toBeCloseTo(
      4.86,
      2,
    );
    expect(table.f).toBeCloseTo(5.21, 2);
  });

  // The same handbook, 7.4.4 "What are variance components?": three measurements of five batches; printed: 147.74 and 17.99 (rounded
  // data), mean squares 36.935 and 1.799, components 11.71 and 1.80. From memory of the handbook.
  test('random groups: five batches', () => {
    const batches = [
      [74, 76, 75],
      [68, 71, 72],
      [75, 77, 77],
      [72, 74, 73],
      [79, 81, 79],
    ];
    const table = oneWay(batches)!;
    expect(Math.abs(table.between.meanSquare - 36.935)).toBeLessThan(0.005);
    expect(Math.abs(table.within.meanSquare - 1.799)).toBeLessThan(0.005);
    const { between, within } = randomEffects(table);
    expect(between.value).toBeCloseTo(11.71, 2);
    expect(within.value).toBeCloseTo(1.8, 2);
  });

  // Montgomery, Design and Analysis of Experiments, "The random effects model": strength of fabric from four looms. Data and F 15.68,
  // components 1.90 and 6.96 as its readers cite them (R script rem.R of a course, University of Alberta); intervals from memory.
  test('random groups: four looms, with intervals', () => {
    const looms = [
      [98, 97, 99, 96],
      [91, 90, 93, 92],
      [96, 95, 97, 95],
      [95, 96, 99, 98],
    ];
    const table = oneWay(looms)!;
    expect(table.between.meanSquare).toBeCloseTo(29.73, 2);
    expect(table.f).toBeCloseTo(15.68, 2);
    const effects = randomEffects(table);
    expect(effects.within.value).toBeCloseTo(1.9, 2);
    expect(effects.between.value).toBeCloseTo(6.96, 2);
    expect(effects.within.low).toBeCloseTo(0.97, 1);
    expect(effects.within.high).toBeCloseTo(5.16, 1);
    expect(effects.ratio.low).toBeCloseTo(0.625, 2);
    expect(effects.intraclass.low).toBeCloseTo(0.385, 2);
    // The book's upper ends (20.12 and 0.95, from memory) do not follow from F tables: F 0.975 with 12 and 3 is 14.34 there.
    expect(effects.ratio.high).toBeCloseTo((15.681 * 14.34 - 1) / 4, 0);
    expect(effects.intraclass.high).toBeCloseTo(0.98, 2);
    expect(effects.between.low).toBeLessThan(6.96);
    expect(effects.between.high).toBeGreaterThan(6.96);
  });

  // United States Pharmacopeia 29, <1010> Analytical Data, table 5: three replicates in each of five runs; sums of squares, F as printed.
  test('random groups: assay runs', () => {
    const runs = [
      [100.7, 101.05, 101.15],
      [99.46, 99.37, 99.59],
      [99.96, 100.17, 101.01],
      [101.8, 102.16, 102.44],
      [101.91, 102, 101.67],
    ];
    const table = oneWay(runs)!;
    expect(table.between.squares).toBeCloseTo(14.2, 2);
    expect(table.within.squares).toBeCloseTo(1.018, 2);
    expect(table.between.meanSquare).toBeCloseTo(3.55, 2);
    // Printed 34.80, from mean squares of three places.
    expect(Math.abs(table.f - 34.8)).toBeLessThan(0.15);
  });

  // Conover, Practical Nonparametric Statistics, corn by four methods of growing: T = 25.46 (without ties); from memory.
  test("Kruskal and Wallis' test: corn by four methods", () => {
    const methods = [
      [83, 91, 94, 89, 89, 96, 91, 92, 90],
      [91, 90, 81, 83, 84, 83, 88, 91, 89, 84],
      [101, 100, 91, 93, 96, 95, 94],
      [78, 82, 81, 77, 79, 81, 80, 81],
    ];
    const { statistic, df1, p } = kruskalWallis(methods)!;
    expect(statistic).toBeGreaterThan(25.46);
    expect(statistic).toBeLessThan(25.7);
    expect(df1).toBe(3);
    expect(p).toBeLessThan(0.001);
  });

  // With two groups Welch's F is the square of his t, its degrees of freedom those of Satterthwaite.
  test("Welch's test of two groups is his t", () => {
    const [a, b] = [
      [3.1, 2.7, 3.9, 4.4],
      [5.2, 5.9, 4.1, 8.8, 6.4],
    ];
    const m = (x: number[]): number => x.reduce((s, v) => s + v, 0) / x.length;
    const v = (x: number[]): number => x.reduce((s, w) => s + (w - m(x)) ** 2, 0) / (x.length - 1) / x.length;
    const t = (m(a) - m(b)) / Math.sqrt(v(a) + v(b));
    const df = (v(a) + v(b)) ** 2 / (v(a) ** 2 / 3 + v(b) ** 2 / 4);
    const test2 = welch([a, b])!;
    expect(test2.statistic).toBeCloseTo(t * t, 10);
    expect(test2.df2).toBeCloseTo(df, 10);
  });
});

describe('outliers', () => {
  // NIST/SEMATECH e-Handbook 1.3.5.17.3, data of Rosner (1983), 54 values; from memory of the handbook.
  const ROSNER = [
    -0.25, 0.68, 0.94, 1.15, 1.2, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56, 1.58, 1.65, 1.69, 1.7, 1.76,
    1.77, 1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.1, 2.14, 2.15, 2.23, 2.24, 2.26, 2.35, 2.37, 2.4, 2.47, 2.54,
    2.62, 2.64, 2.9, 2.92, 2.92, 2.93, 3.21, 3.26, 3.3, 3.59, 3.68, 4.3, 4.64, 5.34, 5.42, 6.01,
  ];
  test('generalised extreme studentised deviate: ten suspects, three outliers', () => {
    const found = extremeDeviates(ROSNER, 10, 0.05);
    const [statistics, criticals] = [found.map((s) => s.statistic), found.map((s) => s.critical)];
    [3.118, 2.942, 3.179, 2.81, 2.815, 2.848, 2.279, 2.31, 2.101, 2.067].forEach((r, i) =>
      expect(statistics[i]).toBeCloseTo(r, 2),
    );
    [3.158, 3.151, 3.143, 3.136, 3.128, 3.12, 3.111, 3.103, 3.094, 3.085].forEach((r, i) =>
      expect(Math.abs(criticals[i]! - r)).toBeLessThan(0.0015),
    );
    expect(found.filter((s) => s.outlier).map((s) => ROSNER[s.index])).toEqual([6.01, 5.42, 5.34]);
  });

  // The same handbook, 1.3.5.17.1, Grubbs' test of mass spectrometer data (Tietjen and Moore 1972): G 2.4687, critical 2.032.
  test("Grubbs' test", () => {
    const data = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57];
    const [{ index, statistic, critical, outlier }] = extremeDeviates(data, 1, 0.05) as [never];
    expect([index, outlier]).toEqual([7, true]);
    expect(statistic).toBeCloseTo(2.4687, 3);
    // The handbook's 2.032 is one-sided; two-sided, Grubbs and Beck (1972) tabulate 2.126 for 8.
    expect(critical).toBeCloseTo(2.126, 2);
    expect(extremeDeviates(data, 1, 0.1)[0]!.critical).toBeCloseTo(2.032, 3);
  });

  test('no spread, or too few: no suspects', () => {
    expect(extremeDeviates([1, 1, 1, 1], 1, 0.05)).toEqual([]);
    expect(extremeDeviates([1, 2], 1, 0.05)).toEqual([]);
  });
});

describe('capability', () => {
  // Montgomery, Introduction to Statistical Quality Control, example of a confidence interval on Cp: limits 38 and 62, s = 1.75, n = 20:
  // 2.29 (1.57 to 3.01); from memory.
  test('intervals of Pp by chi-square', () => {
    const { value, low, high } = ppInterval(Number(((62 - 38) / (6 * 1.75)).toFixed(2)), 20);
    expect([value, low, high].map((v) => v.toFixed(2))).toEqual(['2.29', '1.57', '3.01']);
  });
  // The same book, an exercise: limits 90 and 100, n = 30, mean 97, s = 1.6: Cpk 0.63; its solution's lower end 0.4287, from memory.
  test('intervals of Ppk by Bissell', () => {
    const ppk = Number(((100 - 97) / (3 * 1.6)).toFixed(3));
    expect(ppk).toBe(0.625);
    expect(ppkInterval(0.63, 30).low).toBeCloseTo(0.4287, 4);
  });
  test('intervals of Ppk hold the true one about as often as they say, one limit or two', () => {
    const normal = seededNormal(seededRandom(30));
    const runs = 2000;
    const held = [Infinity, 4].map((upper) => {
      const truth = Math.min(4, upper) / 3;
      return Array.from({ length: runs }, () => {
        const x = Array.from({ length: 40 }, () => normal());
        const { ppk } = capability(x, { lower: -4, upper: Number.isFinite(upper) ? upper : null })!;
        return ppk.low <= truth && truth <= ppk.high;
      }).filter(Boolean).length;
    });
    // Bissell's interval is an approximation; with two limits at equal distance the nearer one is taken: Ppk reads low.
    expect(held[0]! / runs).toBeGreaterThan(0.935);
    expect(held[0]! / runs).toBeLessThan(0.965);
    expect(held[1]! / runs).toBeGreaterThan(0.93);
  });
  test('what repeats widens, what the measurement scatters is taken off', () => {
    const x = [9.9, 10, 10.1, 10.05, 9.95, 10.02];
    const bare = capability(x, { lower: 9, upper: 11 })!;
    const known = capability(x, { lower: 9, upper: 11 }, 0.03 ** 2, 0.05)!;
    expect(known.ppk.high - known.ppk.low).toBeGreaterThan(bare.ppk.high - bare.ppk.low);
    expect(known.ppkWithoutMeasurement!).toBeGreaterThan(known.ppk.value);
    expect(capability(x, { lower: 9, upper: 11 }, 1, 0)!.ppkWithoutMeasurement).toBeNull();
    expect(capability(x, { lower: null, upper: null })).toBeNull();
    expect(capability([1, 1, 1], { lower: 0, upper: 2 })).toBeNull();
  });
});

describe('control charts', () => {
  // Closed forms of the constants for ranges of two: d2 = 2 / sqrt(pi), D4 = 1 + 3 d3 / d2, E2 = 3 / d2; tables print 1.128, 3.267, 2.660.
  test('constants as tabulated', () => {
    const d2 = 2 / Math.sqrt(Math.PI);
    expect(CHART.d2).toBeCloseTo(d2, 3);
    expect(CHART.D4).toBeCloseTo(1 + (3 * Math.sqrt(2 - 4 / Math.PI)) / d2, 3);
    expect((3 / CHART.d2).toFixed(3)).toBe('2.660');
  });
  // NIST/SEMATECH e-Handbook 6.3.2.2, flow rate of ten batches: mean range 1.8778, limits 45.8159 and 55.8041; from memory.
  test('individuals and moving ranges: ten batches', () => {
    const chart = controlChart([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])!;
    expect(chart.meanRange).toBeCloseTo(1.8778, 4);
    expect(chart.centre).toBeCloseTo(50.81, 10);
    expect(chart.upper).toBeCloseTo(55.8041, 3);
    expect(chart.lower).toBeCloseTo(45.8159, 3);
    expect(chart.signals).toEqual([]);
    expect(chart.rangeSignals).toEqual([]);
  });
  // Western Electric rules as the e-Handbook 6.3.2 lists them.
  test.each([
    ['beyond-3-sigma', [0, 0, 3.1], [2]],
    ['beyond-3-sigma', [0, 0, -3.1], [2]],
    ['two-of-three-beyond-2-sigma', [2.1, 0, 2.1], [2]],
    ['two-of-three-beyond-2-sigma', [0, 2.1, 2.1], [2]],
    ['four-of-five-beyond-1-sigma', [1.1, 1.1, -0.5, 1.1, 1.1], [4]],
    ['eight-on-one-side', [0.1, 0.2, 0.1, 0.3, 0.1, 0.2, 0.1, 0.4], [7]],
  ] as const)('%s: %j', (rule, z, places) => {
    expect(signals(z)).toEqual(places.map((index) => ({ index, rule })));
  });
  test.each([
    [[2.1, 0, 0, 2.1]],
    [[2.1, -2.1, 0]],
    [[1.1, 1.1, 1.1, -1.1, -1.1]],
    [[0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1]],
    [[2.9]],
  ])('no signal: %j', (z) => expect(signals(z)).toEqual([]));
});

describe('trends', () => {
  // Gilbert, Statistical Methods for Environmental Pollution Monitoring (1987), 16.4.1: 10, 15, 14, 20 gives S = 4, P(S >= 4) = 0.167.
  test('Mann and Kendall: four values counted out', () => {
    expect(mannKendall([10, 15, 14, 20])).toMatchObject({ s: 4, exact: true });
    expect(mannKendall([10, 15, 14, 20])!.p).toBeCloseTo(2 * 0.167, 2);
  });
  test('counted out, near the normal distribution that stands for it beyond 30 values', () => {
    const x = Array.from({ length: 30 }, (_, i) => i + 40 * Math.sin(7 * i));
    const { s, p, exact } = mannKendall(x)!;
    expect(exact).toBe(true);
    const z = (Math.abs(s) - 1) / Math.sqrt((30 * 29 * 65) / 18);
    expect(p).toBeGreaterThan(0.001);
    expect(Math.abs(p - 2 * normalSurvival(z))).toBeLessThan(0.002);
  });
  test('pairs counted one by one give the same', () => {
    const random = seededRandom(2);
    const x = Array.from({ length: 57 }, () => Math.floor(20 * random()));
    let pairs = 0;
    x.forEach((v, i) => x.slice(i + 1).forEach((w) => (pairs += Math.sign(w - v))));
    expect(mannKendall(x)!.s).toBe(pairs);
  });
  test('ties take from the variance; all alike: nothing to test', () => {
    // S = 5 of 6 pairs, one tie: variance (4 x 3 x 13 - 2 x 9) / 18.
    const tied = mannKendall([1, 2, 2, 3])!;
    expect([tied.s, tied.exact]).toEqual([5, false]);
    expect(tied.p).toBeCloseTo(2 * normalSurvival(4 / Math.sqrt((4 * 3 * 13 - 18) / 18)), 12);
    expect(mannKendall([2, 2, 2, 2, 2])).toBeNull();
  });
  // NIST StRD, linear regression, Norris: certified coefficients and their standard deviations.
  test('line as certified (Norris)', () => {
    const x = [
      0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777, 558.2, 0.4, 0.6, 775.5, 666.9, 338, 447.5, 11.6,
      556, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999, 779, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
    ];
    const y = [
      0.1, 338.8, 118.1, 888, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8,
      557.7, 228.3, 998, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
    ];
    const line = fit(x, y, 1);
    expect(line.slope.value).toBeCloseTo(1.00211681802045, 11);
    expect(line.sigma).toBeCloseTo(0.884796396144373, 10);
    expect(Math.sqrt(line.covariance[3]!) / line.scale).toBeCloseTo(0.000429796848199937, 12);
  });
});

describe('Anderson and Darling', () => {
  // D'Agostino and Stephens (1986), table 4.7, mean and spread estimated: upper 10, 5, 2.5 and 1 % points of the corrected statistic.
  test.each([
    [0.631, 0.1],
    [0.752, 0.05],
    [0.873, 0.025],
    [1.035, 0.01],
  ])('%f has a chance of %f', (a, p) => {
    expect(Math.abs(andersonDarlingChance(a) / p - 1)).toBeLessThan(0.03);
  });
  test('names normal values as often as it says, and skewed ones nearly always', () => {
    const normal = seededNormal(seededRandom(8));
    const named = (draw: () => number): number =>
      Array.from({ length: 1500 }, () => andersonDarling(Array.from({ length: 30 }, draw))!.p < 0.05).filter(Boolean)
        .length / 1500;
    expect(Math.abs(named(normal) - 0.05)).toBeLessThan(3 * Math.sqrt((0.05 * 0.95) / 1500));
    expect(named(() => Math.exp(normal()))).toBeGreaterThan(0.95);
  });
  test('few values, or all alike: nothing', () => {
    expect(andersonDarling([1, 2, 3, 4, 5, 6, 7])).toBeNull();
    expect(andersonDarling(Array.from({ length: 20 }, () => 0.1))).toBeNull();
  });
});
