import { describe, expect, test } from 'vitest';
import {
  components,
  knownOf,
  type Component,
  type Components,
  type Known,
  type Source,
} from '../src/lots/components.ts';
import { mean } from '../src/lots/moments.ts';
import { oneWay } from '../src/lots/one-way.ts';
import { fCdf } from '../src/maths/distributions.ts';
import { MIXED_UP_TO, noncentralFCdf, noncentralityOfF } from '../src/maths/noncentral-f.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';

const NOTHING: Known = { ownMean: 0, ownDifference: 0, repeatedMean: 0, repeatedDifference: 0 };
const none = (n: number): null[] => Array.from({ length: n }, () => null);
const part = (c: Components | null, source: Source): Component => c!.components.find((f) => f.source === source)!;

describe('noncentral F', () => {
  test('without noncentrality it is the central one', () => {
    for (const f of [0.2, 1, 3.7]) expect(noncentralFCdf(f, 4, 20, 0)).toBeCloseTo(fCdf(f, 4, 20), 14);
  });
  test('against simulated mean squares', () => {
    const normal = seededNormal(seededRandom(5));
    const [d1, d2, lambda] = [3, 12, 9];
    const square = (n: number, shift: number): number =>
      Array.from({ length: n }, (_, i) => (normal() + (i === 0 ? shift : 0)) ** 2).reduce((s, v) => s + v, 0) / n;
    const runs = 20_000;
    const below = Array.from({ length: runs }, () => square(d1, Math.sqrt(lambda)) / square(d2, 0)).filter(
      (f) => f < 4,
    ).length;
    const p = noncentralFCdf(4, d1, d2, lambda);
    expect(Math.abs(below / runs - p)).toBeLessThan(4 * Math.sqrt((p * (1 - p)) / runs));
  });
  test('inverse gives back', () => {
    const lambda = noncentralityOfF(0.025, 12, 9, 100);
    expect(noncentralFCdf(12, 9, 100, lambda)).toBeCloseTo(0.025, 6);
    expect(noncentralityOfF(0.975, 0.5, 9, 100)).toBe(0);
  });
  test('the approximation takes over without a step that would be seen', () => {
    for (const f of [5000, 5556, 6000]) {
      const [series, patnaik] = [MIXED_UP_TO, MIXED_UP_TO * (1 + 1e-9)].map((l) => noncentralFCdf(f, 9, 60, l));
      expect(Math.abs(series! - patnaik!)).toBeLessThan(0.002);
    }
  });
});

describe('components of a lot', () => {
  // A table of two ways without repeats is a one-way analysis of values from which the dice were taken out: the pattern's mean square is
  // the same as that of groups by name, the rest's has fewer degrees of freedom.
  test('pattern and scatter are those of the analysis of variance', () => {
    const table = [
      [10, 12, 11],
      [11, 14, 12],
      [9, 12, 12],
      [10, 13, 10],
    ];
    const out = components(table, none(4), none(4), NOTHING)!;
    const rest = table.map((row) => row.map((v) => v - mean(row)));
    const ways = oneWay([0, 1, 2].map((a) => rest.map((row) => row[a]!)))!;
    const ms = ways.within.squares / (3 * 2);
    expect(part(out, 'scatter').variance.value).toBeCloseTo(ms, 12);
    expect(part(out, 'pattern').variance.value).toBeCloseTo((ways.between.meanSquare - ms) / 4, 12);
  });

  test('the same on every die: mould alone', () => {
    const out = components(
      [
        [1, 3, 2],
        [1, 3, 2],
        [1, 3, 2],
      ],
      none(3),
      none(3),
      NOTHING,
    )!;
    expect(part(out, 'pattern').variance).toEqual({ value: 1, low: 1, high: 1 });
    expect(part(out, 'pattern').share).toBe(1);
    expect(part(out, 'scatter').variance.high).toBe(0);
  });

  test('what the measurement adds is taken off, and nothing becomes negative', () => {
    const table = [
      [10, 12, 11],
      [11, 14, 12],
      [9, 12, 12],
      [10, 13, 10],
    ];
    const bare = components(table, none(4), none(4), NOTHING)!;
    const known = components(table, none(4), none(4), { ...NOTHING, ownDifference: 0.25 })!;
    expect(part(known, 'scatter').variance.value).toBeCloseTo(part(bare, 'scatter').variance.value - 0.25, 12);
    expect(part(known, 'pattern').variance.value).toBeCloseTo(part(bare, 'pattern').variance.value, 12);
    const all = components(table, none(4), none(4), {
      ...NOTHING,
      ownDifference: 9,
      ownMean: 9,
      repeatedDifference: 9,
    })!;
    expect(all.components.filter((c) => c.source !== 'measurement').every((c) => c.variance.value === 0)).toBe(true);
  });

  test('a card that stretches one direction of all dice is no proof of the mould', () => {
    const table = Array.from({ length: 12 }, (_, d) => [10.02 + 0.001 * (d % 2), 10, 9.98]);
    const sure = part(components(table, none(12), none(12), NOTHING), 'pattern');
    const doubted = part(
      components(table, none(12), none(12), { ...NOTHING, repeatedDifference: 0.02 ** 2 }),
      'pattern',
    );
    expect(sure.variance.low).toBeGreaterThan(0);
    expect(doubted.variance.low).toBe(0);
  });

  test('order of dice and names is irrelevant', () => {
    const normal = seededNormal(seededRandom(3));
    const table = Array.from({ length: 9 }, () => Array.from({ length: 4 }, () => normal()));
    const cavity = table.map((_, d) => d % 3);
    const time = table.map((_, d) => d);
    const straight = components(table, cavity, time, NOTHING)!;
    const turned = components(
      table.map((_, d) => [...table[8 - d]!].reverse()),
      [...cavity].reverse(),
      [...time].reverse(),
      NOTHING,
    )!;
    straight.components.forEach((c, i) => {
      expect(turned.components[i]!.source).toBe(c.source);
      expect(turned.components[i]!.variance.value).toBeCloseTo(c.variance.value, 10);
    });
  });

  test.each([
    ['one die', [[1, 2]], [null]],
    [
      'as many dice as cavities',
      [
        [1, 2],
        [2, 1],
      ],
      [1, 2],
    ],
    ['one length', [[1], [2]], [null, null]],
    ['no dice', [], []],
  ] as const)('%s: nothing can be told', (_, table, cavity) => {
    expect(
      components(
        table,
        cavity,
        cavity.map(() => null),
        NOTHING,
      ),
    ).toBeNull();
  });
});

/** Lots of known causes, drawn with a seed; how often each interval holds its truth. */
describe('intervals hold the truth as often as they say', () => {
  const RUNS = 400;
  const [N, K] = [16, 6];
  const truth = {
    size: 0.03,
    scatter: 0.02,
    ownMean: 0.01,
    ownDifference: 0.012,
    repeatedDifference: 0.01,
    slope: 0.02,
  };
  const cavity = Array.from({ length: N }, (_, d) => 1 + (d % 4));
  const time = Array.from({ length: N }, (_, d) => Math.floor(d / 4));
  const known: Known = {
    ownMean: truth.ownMean ** 2,
    ownDifference: truth.ownDifference ** 2,
    repeatedMean: 0,
    repeatedDifference: truth.repeatedDifference ** 2,
  };
  const centred = (x: readonly number[]): number[] => x.map((v) => v - mean(x));
  const draw = (normal: () => number): Components => {
    const common = centred(Array.from({ length: K }, () => truth.repeatedDifference * normal()));
    return components(
      Array.from({ length: N }, (_, d) => {
        const own = centred(Array.from({ length: K }, () => truth.ownDifference * normal()));
        const size =
          truth.size * normal() + truth.ownMean * normal() + truth.slope * time[d]! + cavitySize[cavity[d]! - 1]!;
        return pattern.map(
          (p, a) => p + cavityPattern[cavity[d]! - 1]![a]! + size + truth.scatter * normal() + own[a]! + common[a]!,
        );
      }),
      cavity,
      time,
      known,
    )!;
  };
  const seeded = seededNormal(seededRandom(11));
  const pattern = centred(Array.from({ length: K }, () => 0.04 * seeded()));
  const doubly = Array.from({ length: 4 }, () => centred(Array.from({ length: K }, () => 0.015 * seeded())));
  const cavityPattern = doubly.map((row) => row.map((v, a) => v - mean(doubly.map((r) => r[a]!))));
  const cavitySize = centred([0.03, -0.02, 0.01, 0]);
  const sum = (x: readonly number[]): number => x.reduce((s, v) => s + v * v, 0);
  const variances: Partial<Record<Source, number>> = {
    pattern: sum(pattern) / (K - 1),
    'cavity-pattern': sum(cavityPattern.flat()) / (3 * (K - 1)),
    'cavity-size': sum(cavitySize) / 3,
    time: (truth.slope ** 2 * sum(centred(time))) / N,
    size: truth.size ** 2,
    scatter: truth.scatter ** 2,
  };
  const runs = ((): readonly Components[] => {
    const normal = seededNormal(seededRandom(77));
    return Array.from({ length: RUNS }, () => draw(normal));
  })();
  // Binomial with 400 runs: 95 % is seen between 92.0 and 98.0 % with three standard errors; cautious intervals may hold more often.
  test.each(Object.keys(variances) as Source[])('%s', (source) => {
    const held = runs.filter((r) => {
      const { low, high } = part(r, source).variance;
      return low <= variances[source]! && variances[source]! <= high;
    }).length;
    expect(held / RUNS).toBeGreaterThan(0.92);
    // An interval that always holds says too little.
    expect(runs.filter((r) => part(r, source).variance.high < 8 * variances[source]!).length / RUNS).toBeGreaterThan(
      0.5,
    );
  });
  test.each(Object.keys(variances) as Source[])('%s, on average', (source) => {
    const found = mean(runs.map((r) => part(r, source).variance.value));
    expect(Math.abs(found / variances[source]! - 1)).toBeLessThan(0.12);
  });
});

describe('what repeats with a card', () => {
  const doubt = { ownMean: 0.01, ownDifference: 0.02, repeatedMean: 0.03, repeatedDifference: 0.04 };
  test('one card: it repeats', () => {
    const known = knownOf([doubt, doubt, doubt], [null, null, null]);
    expect(Object.values(known).map((v) => Math.sqrt(v))).toEqual(
      [0.01, 0.02, 0.03, 0.04].map((v) => expect.closeTo(v, 12) as number),
    );
  });
  test('a card for each die: it scatters, and averages out', () => {
    const known = knownOf([doubt, doubt, doubt, doubt], ['a', 'b', 'c', 'd']);
    expect(known.ownMean).toBeCloseTo(0.01 ** 2 + 0.03 ** 2, 12);
    expect(known.repeatedMean).toBeCloseTo(0.03 ** 2 / 4, 12);
  });
});
