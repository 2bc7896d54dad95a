/** Verdicts and doubts held by their closed forms, each term of them told from the others. */
import { describe, expect, test } from 'vitest';
import { solidOf, trueShape } from '../src/bias/die/die-shape.ts';
import {
  countedChances,
  EVIDENCE_SPREADS,
  evidencePath,
  lnMixedEvidence,
  sequentialPlan,
} from '../src/bias/log/evidence.ts';
import { kernelPrediction, throwsPrediction, type Prediction } from '../src/bias/meaning/prediction.ts';
import { TABLE_NAMES, type TableName } from '../src/bias/throws/tables.ts';
import { withMassTowards } from '../src/bias/meaning/what-if.ts';
import { judgedDie, type PhotoDoubt } from '../src/bin/judge.ts';
import type { BinReference } from '../src/bin/types.ts';
import { TAU_LEAST, TAU_USUAL } from '../src/fit/doubt.ts';
import { keptText } from '../src/text/bin-reasons.ts';
import { dieSolid } from '../src/geometry/solid.ts';
import { RULE_DEFAULTS } from '../src/judging/decision.ts';
import { normalShare } from '../src/maths/normal.ts';
import type { Note } from '../src/formats/notes.ts';
import { messageOf } from '../src/text/notes.ts';
import { madeBinDie } from './support/made-bin-die.ts';

describe('a die of a bin, 0.1 mm a pixel', () => {
  const CERTAIN: PhotoDoubt = { scale: 0, focal: 0, ratio: 0, distance: 250 };
  const DIE = madeBinDie(0.04);
  const judged = (reference: BinReference, doubt = CERTAIN, limits = { size: 5, radius: 5, departure: 5 }) =>
    judgedDie(dieSolid('d6'), DIE, reference, limits, doubt, 6);
  const typed = (size: number, radius: number | null = null): BinReference => ({
    size: { value: size, u: 0.01 },
    radius: radius === null ? null : { value: radius, u: 0.03 },
    source: 'typed',
  });

  test('a ratio of x to y wrong by 0.4 % stretches one way by a quarter of it each, and its outline departs by that over sqrt 2', () => {
    const { size, departure } = judged(typed(16), { ...CERTAIN, ratio: 0.004 });
    const stretched = (0.004 * size!.value) / 4;
    expect(size!.u).toBeCloseTo(Math.hypot(2 * 0.01, 0.5 * 0.04, stretched, 2 * 0.15 * 0.1), 4);
    expect(departure!.u).toBeCloseTo(Math.hypot(0.02, stretched / Math.SQRT2), 4);
  });

  test('a focal length wrong by 10 % counts by the height of the middle over the distance; a scale wrong by 0.3 % whole', () => {
    const { size } = judged(typed(16), { ...CERTAIN, focal: 0.1, scale: 0.003 });
    const camera = (size!.value * 0.1 * 8) / 250;
    expect(size!.u).toBeCloseTo(Math.hypot(2 * 0.01, 0.5 * 0.04, 2 * 0.15 * 0.1, camera, size!.value * 0.003), 4);
  });

  test('is rejected as surely as its limits leave it out', () => {
    const at = judged(typed(16)).size!;
    const u = Math.hypot(at.u, 0.01);
    const { verdict, sure } = judged(typed(at.value - 0.05 - 1.9 * u), CERTAIN, {
      size: 0.05,
      radius: 5,
      departure: 5,
    });
    expect(verdict).toBe('reject');
    expect(sure).toBeCloseTo(normalShare(1.9), 3);
  });

  test('is within its limits by the share of its doubt between them, on both sides', () => {
    const { size } = judged(typed(16));
    const [off, limit, u] = [0.03, 0.05, Math.hypot(size!.u, 0.01)];
    const { sure, verdict } = judged(typed(size!.value - off), CERTAIN, { size: limit, radius: 5, departure: 5 });
    expect(verdict).toBe('look-again');
    expect(sure).toBeCloseTo(normalShare((limit - off) / u) - normalShare((-limit - off) / u), 2);
    // The other way off, the same.
    expect(judged(typed(size!.value + off), CERTAIN, { size: limit, radius: 5, departure: 5 }).sure).toBeCloseTo(
      sure!,
      2,
    );
  });

  test('is rounder or sharper than its reference where the radius differs by a fifth and twice the doubt of both', () => {
    const { radius } = judged(typed(16));
    const slack = Math.hypot(radius!.u, 0.03);
    const rounder = (radius!.value - 2 * slack) / 1.2;
    const sharper = (radius!.value + 2 * slack) * 1.2;
    expect(judged(typed(16, rounder - 0.003)).rounding).toBe('rounder');
    expect(judged(typed(16, rounder + 0.003)).rounding).toBe('alike');
    expect(judged(typed(16, sharper - 0.003)).rounding).toBe('alike');
    expect(judged(typed(16, sharper + 0.003)).rounding).toBe('sharper');
  });

  test('that breaks two limits names the worse first, and one within all of them how far it is from each', () => {
    // Its departure by 2 u, its radius by 1.75 u.
    const { radius } = judged(typed(16));
    const both = judged(typed(16), CERTAIN, { size: 5, radius: 0.5 - 1.75 * radius!.u, departure: 0 });
    expect(both.verdict).toBe('reject');
    expect(both.reasons.map(({ code }) => code)).toEqual(['departure', 'radius']);
    const { size, reason, verdict } = judged(typed(15.9));
    expect(verdict).toBe('keep');
    expect(reason).toContain(keptText({ size: [size!.value - 15.9, 5], radius: [0.5, 5], departure: [0.04, 5] }));
    for (const { value, u } of [size!]) expect([value, u]).toEqual([Number(value.toFixed(4)), Number(u.toFixed(4))]);
  });
});

describe('doubt of a prediction', () => {
  const shape = trueShape('d6');
  const uneven = { shape: withMassTowards(shape, shape.labels.indexOf('6'), 0.8), covariance: null };
  /** A die with something of every cause. */
  const flawed = {
    shape: {
      ...withMassTowards(shape, 0, 0.2),
      distances: shape.distances.map((d, f) => (f === 0 ? d + 0.08 : d)),
      radii: shape.radii.map((r, c) => (c === 1 ? r + 0.2 : r)),
      crowns: shape.labels.map((_, f) => (f === 2 ? 0.05 : 0)),
      mark: { face: 3, at: [1, -2], height: 0.05, width: 2 },
      trim: { faces: solidOf('d6').edges[0]!.faces, depth: 0.1 },
    },
    covariance: null,
  } as const;
  const of = (table: TableName | 'unknown', die: Parameters<typeof kernelPrediction>[0] = uneven) => {
    const prediction = kernelPrediction(die, table);
    if (!prediction.ok) throw new Error(prediction.error.code);
    return prediction.value;
  };

  // Judgements from throws over tables and restitution laws; see src/bias/README.md.
  const shares = { faces: 0.35, rounding: 0.6, mass: 0.35, mark: 0.6, crown: 0.6, trim: 0.5 };
  const causes = Object.keys(shares) as (keyof typeof shares)[];

  /** The model's part, if it misses these shares of these effects, chances adding up to one, and 0.001 of each face. */
  function expectModel({ p, model }: Prediction, parts: readonly (readonly [number, Float64Array])[]): void {
    const k = p.length;
    const expected = new Float64Array(k * k);
    for (const [share, effect] of parts) {
      const middle = effect.reduce((s, x, i) => s + x * p[i]!, 0);
      for (let i = 0; i < k; i++)
        for (let j = 0; j < k; j++) expected[i * k + j]! += share ** 2 * (effect[i]! - middle) * (effect[j]! - middle);
    }
    for (let i = 0; i < k; i++) expected[i * (k + 1)]! += 0.001 ** 2;
    model.forEach((value, i) => expect(Math.abs(value - expected[i]!)).toBeLessThan(1e-12));
  }

  test('of the model: each cause by its share', () => {
    const told = of('felt', flawed);
    const { effects, model, covariance, measured, tables, kernel } = told;
    for (const cause of causes) expect(Math.max(...effects[cause].map(Math.abs)), cause).toBeGreaterThan(1e-4);
    covariance.forEach((all, i) => expect(all).toBeCloseTo(measured[i]! + model[i]! + tables[i]! + kernel[i]!, 12));
    expectModel(
      told,
      causes.map((cause) => [shares[cause], effects[cause]]),
    );
  });

  test('of the model, where throws are counted: the same, but beyond the kernel one share, mixed by the effects, of all unevenness', () => {
    const thrown = (die: Parameters<typeof kernelPrediction>[0]): Prediction => {
      const prediction = throwsPrediction(die, 'felt', {
        counts: Float64Array.of(90, 110, 100, 95, 105, 100),
        throws: 600,
      });
      if (!prediction.ok) throw new Error(prediction.error.code);
      return prediction.value;
    };
    const near = thrown(flawed);
    expect(near.beyond).toEqual([]);
    expectModel(
      near,
      causes.map((cause) => [shares[cause], near.effects[cause]]),
    );
    const far = thrown({ ...flawed, shape: withMassTowards(flawed.shape, 0, 3) });
    expect(far.beyond).not.toEqual([]);
    const sizes = causes.map((cause) => far.effects[cause].reduce((s, e) => s + e * e, 0));
    const all = sizes.reduce((a, b) => a + b);
    const mixed = Math.sqrt(causes.reduce((s, cause, i) => s + (shares[cause] ** 2 * sizes[i]!) / all, 0));
    expectModel(far, [[mixed, far.p.map((x) => Math.log(x * far.p.length))]]);
  });

  test('of the table, where none is named: rows and columns add up to what tables differ by, and none where one is', () => {
    expect(Math.max(...of('felt').tables.map(Math.abs))).toBe(0);
    const { tables, p } = of('unknown');
    const k = p.length;
    // The sample covariance of what the tables say one by one.
    const logs = TABLE_NAMES.map((table) => of(table).p.map(Math.log));
    const mean = p.map((_, i) => logs.reduce((s, l) => s + l[i]!, 0) / logs.length);
    tables.forEach((value, at) => {
      const [i, j] = [Math.floor(at / k), at % k];
      const sum = logs.reduce((s, l) => s + (l[i]! - mean[i]!) * (l[j]! - mean[j]!), 0);
      expect(Math.abs(value - sum / (logs.length - 1))).toBeLessThan(1e-12);
    });
    // A covariance: symmetric, no term larger than its variances allow, and of a mean of chances that is kept.
    for (let i = 0; i < k; i++) {
      expect(tables[i * (k + 1)]!).toBeGreaterThan(0);
      for (let j = 0; j < k; j++)
        expect(Math.abs(tables[i * k + j]!)).toBeLessThanOrEqual(
          Math.sqrt(tables[i * (k + 1)]! * tables[j * (k + 1)]!) * (1 + 1e-9),
        );
    }
    const kept = p.reduce((s, x, i) => s + p.reduce((t, y, j) => t + x * y * tables[i * k + j]!, 0), 0);
    expect(kept).toBeLessThan(0.05 * Math.max(...Array.from({ length: k }, (_, i) => tables[i * (k + 1)]!)));
  });

  test('of the kernel: it grows with how uneven a face is, no face below the rest', () => {
    const { kernel, p } = of('felt');
    const k = p.length;
    const least = Math.min(...Array.from({ length: k }, (_, i) => kernel[i * (k + 1)]!));
    const off = Array.from(p, (x) => Math.abs(Math.log(x * k)));
    off.forEach((one, i) =>
      off.forEach((other, j) => {
        const [a, b] = [kernel[i * (k + 1)]!, kernel[j * (k + 1)]!];
        if (a > 1.0001 * least && b > 1.0001 * least) expect(Math.sqrt(a / b)).toBeCloseTo(one / other, 6);
      }),
    );
    // Both sides of the uneven die lie farther off than the dice that the kernel was fitted to.
    const above = off.filter((_, i) => kernel[i * (k + 1)]! > 1.0001 * least);
    expect(above.length).toBeGreaterThanOrEqual(2);
    expect(Math.sqrt(least)).toBeGreaterThan(0.0005);
    expect(Math.sqrt(least)).toBeLessThan(0.05);
  });
});

test('offsets of stretches: least and usual sigma, as sets of known truth showed them (src/measure/README.md)', () => {
  expect([TAU_LEAST, TAU_USUAL]).toEqual([
    [0.012, 0.05, 0.04],
    [0.06, 0.18, 0.1],
  ]);
});

test('where nothing is said a guarded decision at 95 % stands', () => {
  expect(RULE_DEFAULTS).toEqual({ rule: { kind: 'guard' }, probability: 0.95 });
});

test('mean lengths of a sequential test (Wald 1945: the bounds are met with alpha and 1 - beta)', () => {
  const [p0, p1, alpha, beta] = [1 / 6, 1 / 5, 0.05, 0.1];
  const { meanLength } = sequentialPlan(p0, p1, alpha, beta);
  const [a, b] = [Math.log((1 - beta) / alpha), Math.log(beta / (1 - alpha))];
  const per = (p: number): number => p * Math.log(p1 / p0) + (1 - p) * Math.log((1 - p1) / (1 - p0));
  expect(meanLength[0]).toBeCloseTo((alpha * a + (1 - alpha) * b) / per(p0), 6);
  expect(meanLength[1]).toBeCloseTo(((1 - beta) * a + beta * b) / per(p1), 6);
});

test('a remark of a later version comes in the language asked for, with its numbers', () => {
  const note = JSON.parse('{ "code": "of-tomorrow", "seen": 3, "needed": 4 }') as Note;
  expect(messageOf(note).text).toBe('Remark of a later version: of-tomorrow (3 / 4).');
  expect(messageOf(note, 'de').text).toBe('Anmerkung einer späteren Version: of-tomorrow (3 / 4).');
  const bare = JSON.parse('{ "code": "of-tomorrow" }') as Note;
  expect(messageOf(bare).text).toBe('Remark of a later version: of-tomorrow.');
});

test('evidence roll by roll: spreads as stated, the end that of the counts alone, drawn at no more than 400 places', () => {
  // A modelling choice; the least is the unevenness that a tumbled die may keep.
  expect(EVIDENCE_SPREADS).toEqual([0.03, 0.1, 0.3, 1]);
  const rolls = Array.from({ length: 1000 }, (_, i) => (i * i + (i >> 3)) % 6);
  const { path, last, largest, largestAt } = evidencePath(rolls, 6);
  const counts = Array.from({ length: 6 }, (_, face) => rolls.filter((f) => f === face).length);
  expect(last).toBeCloseTo(lnMixedEvidence(counts), 9);
  // 1000 rolls: every third, and the last.
  expect(path.length / 2).toBe(334);
  expect([...path.slice(-2)]).toEqual([1000, last]);
  expect([...path.slice(0, 1)]).toEqual([3]);
  expect(largest).toBeGreaterThanOrEqual(last);
  expect(largestAt).toBeGreaterThan(0);
});

test('a face that came up 3 of 12 times: its chance leans by half a roll a face (Jeffreys)', () => {
  const counts = [3, 1, 2, 2, 2, 2];
  expect(countedChances(counts)[0]!.value).toBeCloseTo(3.5 / 15, 12);
});
