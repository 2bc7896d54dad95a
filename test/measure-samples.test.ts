import { crownPrior } from '../src/measure/finish.ts';
import { describe, expect, test } from 'vitest';
import { cholesky } from '../src/maths/linear.ts';
import { dieSolid, type DieKind } from '../src/geometry/solid.ts';
import { resultJson } from '../src/measure/result-json.ts';
import type { MeasureResult } from '../src/formats/result.ts';
import { added, cv, measured, sampleJob, samplePhotos } from './support/measuring.ts';
import { compared, knownOf } from '../src/ui/store/known-sample.ts';
import known from '../samples/d6/known.json' with { type: 'json' };
import truthOfD20 from './fixtures/samples-truth/d20.json' with { type: 'json' };
import truthOfD6 from './fixtures/samples-truth/d6.json' with { type: 'json' };

interface Truth {
  readonly axes_mm: Readonly<Record<string, number>>;
  readonly corner_radius_mm: Readonly<Record<string, number>>;
  readonly face_distance_mm: Readonly<Record<string, number>>;
  readonly mean_corner_radius_mm: number;
}

/** Errors that are allowed, um: about 1.3 times what is reached. Root mean square of axes and of corner radii; mean radius. */
const BUDGET = {
  d6: { axes: 10, corners: 45, meanRadius: 30 },
  d20: { axes: 5.4, corners: 35, meanRadius: 30 },
} as const;
const TRUTH: Readonly<Record<keyof typeof BUDGET, Truth>> = { d6: truthOfD6, d20: truthOfD20 };
const SETS = ['d6', 'd20'] as const;

const results: Record<string, MeasureResult> = {};
for (const set of SETS) {
  const job = sampleJob(set);
  const outcome = measured(job, await samplePhotos(set, job));
  if (!outcome.ok) throw new Error(outcome.error.code);
  results[set] = outcome.value;
}

const rms = (values: readonly number[]): number => Math.sqrt(values.reduce((s, v) => s + v * v, 0) / values.length);

test('what the page compares its own measuring with is what is measured here; else run config/known-samples.ts', () => {
  const found = compared(known, knownOf(results['d6']!), 0);
  expect(found.agrees).toBe(true);
  // A micrometre's thousandth: as many digits as the page shows.
  expect(found.apart).toBeLessThan(1e-6);
});

test('a length that lies apart, or is missing, is told', () => {
  const [first, ...others] = known.axes;
  const moved = (by: number) => ({ ...known, axes: [{ ...first!, value: first!.value + by }, ...others] });
  expect(compared(known, moved(0.001), 7)).toMatchObject({ at: 7, agrees: true });
  expect(compared(known, moved(0.001), 7).apart).toBeCloseTo(0.001, 9);
  expect(compared(known, moved(-0.003), 7).agrees).toBe(false);
  expect(compared(known, { ...known, axes: others }, 7)).toEqual({ at: 7, agrees: false, apart: null });
});

describe.each(SETS)('the %s sample', (set) => {
  const result = results[set]!;
  const truth = TRUTH[set];
  const errors = result.axes.map(({ name, length }) => 1e3 * (length - truth.axes_mm[name]!));
  const radii = result.corners.map(({ name, radius }) => 1e3 * (radius - truth.corner_radius_mm[name]!));

  test('each error lies within its budget', async ({ annotate }) => {
    const mean = Math.abs(1e3 * (result.meanCornerRadius.value - truth.mean_corner_radius_mm));
    for (const [what, error, budget] of [
      ['axes', rms(errors), BUDGET[set].axes],
      ['corners', rms(radii), BUDGET[set].corners],
      ['mean radius', mean, BUDGET[set].meanRadius],
    ] as const) {
      expect(error, what).toBeLessThan(budget);
      if (3 * error < budget)
        await annotate(`${set}: ${what} ${error.toFixed(1)} um, the budget ${budget} could be tighter`);
    }
  });

  test('all photos are used, without a remark; the only note on the set is that nobody measured the check bars', () => {
    expect(result.photos.map((p) => [p.status, p.code, p.remark])).toEqual(
      result.photos.map(() => ['used', null, null]),
    );
    expect(result.notes.map((n) => n.code)).toEqual(['scale-unchecked']);
    expect(result.photos.map((p) => p.photo)).toEqual(sampleJob(set).shots.map((s) => s.photo));
  });

  test('axes, differences, radii and faces lie within their doubt about as often as claimed', () => {
    const { axesCovariance: c } = result;
    const differences = errors.flatMap((e, i) =>
      errors.slice(0, i).map((f, j) => (e - f) / (1e3 * Math.sqrt(c[i]![i]! + c[j]![j]! - 2 * c[i]![j]!))),
    );
    const z = [
      ...result.axes.map(({ u }, i) => errors[i]! / (1e3 * u)),
      ...differences,
      ...result.corners.map(({ u }, i) => radii[i]! / (1e3 * u)),
      ...result.faces.map(({ name, distance, u }) => (distance - truth.face_distance_mm[name]!) / u),
    ];
    // One set is one draw, and its differences hang together: 95 % of many sets is 85 % at least of one.
    expect(z.filter((v) => Math.abs(v) <= 2).length / z.length).toBeGreaterThan(0.85);
    // Nor is the doubt of differences and radii, which no common scale widens, a blanket.
    expect(rms([...differences, ...result.corners.map(({ u }, i) => radii[i]! / (1e3 * u))])).toBeGreaterThan(0.4);
  });

  test('names, order and units are those of the format', () => {
    const solid = dieSolid(result.die.kind as DieKind);
    expect(result.format).toBe('evencast-result/1');
    expect(result.die).toEqual({ kind: set });
    const numbers = (name: string): number[] => name.split('-').map(Number);
    const ascending = (names: readonly string[]): void => {
      expect([...names].sort((p, q) => numbers(p)[0]! - numbers(q)[0]!)).toEqual(names);
      for (const name of names) expect([...numbers(name)].sort((a, b) => a - b)).toEqual(numbers(name));
    };
    for (const list of [result.axes, result.corners, result.edges, result.faces]) ascending(list.map((l) => l.name));
    expect(result.axes.map((a) => a.name).sort()).toEqual(Object.keys(truth.axes_mm).sort());
    expect(result.corners.map((a) => a.name).sort()).toEqual(Object.keys(truth.corner_radius_mm).sort());
    expect(result.faces.map((f) => f.name).sort()).toEqual([...solid.labels].sort());
    expect(result.edges).toHaveLength(solid.edges.length);
    for (const { land, crown } of result.faces) {
      expect(land).toEqual(expect.any(Number));
      // These dice are flat: a crown that is told holds 0.
      if (crown) expect(Math.abs(crown.value)).toBeLessThanOrEqual(2 * crown.u);
    }
    // Lands in mm^2: hardly more than a sharp true face's (closed form from the inradius), more than half of it.
    const edge = (12 * 9.6) / (Math.sqrt(3) * (3 + Math.sqrt(5)));
    const sharp = set === 'd6' ? (2 * 7.9) ** 2 : (Math.sqrt(3) / 4) * edge ** 2;
    for (const { name, land } of result.faces) {
      expect(land, name).toBeLessThan(1.05 * sharp);
      expect(land, name).toBeGreaterThan(0.5 * sharp);
    }
    // In the file photos' numbers are bare, as in a job.
    const photos = result.photos.map((p) => ({ ...p, up: Number(p.up), front: Number(p.front) }));
    expect(JSON.parse(resultJson({ ok: true, value: result }))).toEqual(
      JSON.parse(JSON.stringify({ ...result, photos })),
    );
  });

  test('the covariance is symmetric, positive, and agrees with every stated doubt', () => {
    const { axes, axesCovariance: c, meanAxis, rangeOfAxes, faces, corners, shapeCovariance } = result;
    const n = axes.length;
    for (let i = 0; i < n; i++)
      for (let j = 0; j < i; j++) expect(Math.abs(c[i]![j]! - c[j]![i]!)).toBeLessThan(1e-12 * Math.abs(c[i]![i]!));
    expect(cholesky(Float64Array.from(c.flat()), n, 0)).not.toBeNull();
    axes.forEach((a, i) => expect(a.u / Math.sqrt(c[i]![i]!)).toBeCloseTo(1, 9));
    const mean = Math.sqrt(c.flat().reduce((s, v) => s + v, 0)) / n;
    expect(meanAxis.u / mean).toBeCloseTo(1, 9);
    expect(meanAxis.value).toBeCloseTo(axes.reduce((s, a) => s + a.length, 0) / n, 12);
    const lengths = axes.map((a) => a.length);
    const [p, q] = [lengths.indexOf(Math.max(...lengths)), lengths.indexOf(Math.min(...lengths))];
    expect(rangeOfAxes.value).toBeCloseTo(lengths[p]! - lengths[q]!, 12);
    // By draws: of axes that tie within their doubt the outer ones scatter less than any two of them.
    const apart = rangeOfAxes.u ** 2 / (c[p]![p]! + c[q]![q]! - 2 * c[p]![q]!);
    expect(apart).toBeGreaterThan(0.2);
    expect(apart).toBeLessThan(1.05);
    for (const a of axes) {
      expect(a.uCommon).toBeCloseTo(meanAxis.u, 12);
      expect(a.uDifference).toBeLessThan(a.u);
    }
    const { names, matrix } = shapeCovariance;
    expect(names).toEqual([...faces.map((f) => `face ${f.name}`), ...corners.map((k) => `corner ${k.name}`)]);
    [...faces, ...corners].forEach(({ u }, i) => expect(u / Math.sqrt(matrix[i]![i]!)).toBeCloseTo(1, 9));
    expect(cholesky(Float64Array.from(matrix.flat()), names.length, 0)).not.toBeNull();
  });

  test('an axis is the sum of its two faces, and its doubt theirs', () => {
    const { axes, faces, shapeCovariance } = result;
    const at = (name: string): number => faces.findIndex((f) => f.name === name);
    axes.forEach(({ name, length, u, lengthAtEdges }, k) => {
      const [i, j] = name.split('-').map(at) as [number, number];
      expect(lengthAtEdges!.value).toBeCloseTo(faces[i]!.distance + faces[j]!.distance, 12);
      const m = shapeCovariance.matrix;
      expect(lengthAtEdges!.u ** 2 / (m[i]![i]! + m[j]![j]! + 2 * m[i]![j]!)).toBeCloseTo(1, 9);
      expect(lengthAtEdges!.u ** 2 / result.axesAtEdgesCovariance![k]![k]!).toBeCloseTo(1, 9);
      // Nobody said how these flat dice were finished: the doubt holds two crowns of any kind, or what faces seen edge-on leave of them.
      expect(length).toBeCloseTo(lengthAtEdges!.value, 12);
      const { common, own } = crownPrior({}, result.meanCornerRadius.value);
      const share = (u ** 2 - lengthAtEdges!.u ** 2) / (4 * common ** 2 + 2 * own ** 2);
      if (faces.every(({ crown }) => crown === null)) expect(share).toBeCloseTo(1, 9);
      else expect(share).toBeLessThan(0.8);
    });
  });

  test('the budget adds up to the doubt', () => {
    const { budget, meanAxis, meanCornerRadius } = result;
    const total = (key: 'meanAxis' | 'meanRadius'): number => Math.hypot(...budget.map((b) => b[key]));
    expect(total('meanAxis') / meanAxis.u).toBeCloseTo(1, 6);
    expect(total('meanRadius') / meanCornerRadius.u).toBeCloseTo(1, 6);
    // Nobody measured the check bars, nor saw a crown: what all axes share hangs on these most.
    const [most, next] = [...budget].sort((a, b) => b.meanAxis - a.meanAxis);
    expect([most!.source, next!.source].sort()).toEqual(['crown', 'scale']);
  });
});

test('the order in which photos come changes no byte of the result, nor does measuring again', async () => {
  const job = sampleJob('d6');
  const photos = await samplePhotos('d6', job);
  const bytes = resultJson({ ok: true, value: results['d6']! });
  expect(resultJson(measured(job, [...photos].reverse()))).toBe(bytes);
  const measurement = added(job, photos);
  expect(resultJson(measurement.finish())).toBe(bytes);
  expect(resultJson(measurement.finish()), 'finished twice').toBe(bytes);
  expect(cv.live(), 'OpenCV objects left').toBe(0);
});

test('check bars scale all lengths, take the note away and narrow what the axes share', async () => {
  const job = sampleJob('d6', { checkBar: 100.5, checkBarY: 100.5 });
  const outcome = measured(job, await samplePhotos('d6', job));
  if (!outcome.ok) throw new Error(outcome.error.code);
  const plain = results['d6']!;
  expect(outcome.value.notes).toEqual([]);
  outcome.value.axes.forEach((a, i) => {
    expect(Math.abs(a.length / plain.axes[i]!.length / 1.005 - 1)).toBeLessThan(2e-5);
    expect(a.lengthAtEdges!.u).toBeLessThan(0.5 * plain.axes[i]!.lengthAtEdges!.u);
    expect(a.uCommon).toBeLessThan(plain.axes[i]!.uCommon);
  });
});
