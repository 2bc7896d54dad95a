/** A result's numbers held by their closed forms, on a set that was never photographed: each from what the fit and its doubt say. */
import { describe, expect, test } from 'vitest';
import { believedCrowns } from '../src/fit/crown-prior.ts';
import { parameterCount, withCrowns } from '../src/fit/die-state.ts';
import { doubtOf } from '../src/fit/doubt.ts';
import { CUT } from '../src/fit/normal-equations.ts';
import { NO_TAU } from '../src/fit/stretches.ts';
import { believedLine, budgetOf, influencesOf, lengthsOf, TYPE_B } from '../src/measure/budget.ts';
import { crownPrior } from '../src/measure/finish.ts';
import type { Measured } from '../src/measure/measured.ts';
import { resultOf } from '../src/measure/result.ts';
import { shapeDoubt } from '../src/measure/fit-gates.ts';
import { PER_PHOTO, RATIO, SHARED } from '../src/vision/calibration.ts';
import { TENS } from '../src/geometry/numbering.ts';
import { TERM_COUNT, TERMS } from '../src/vision/profile.ts';
import type { MeasureResult } from '../src/formats/result.ts';
import {
  axesOfDie,
  MADE_CAMERA_U,
  MADE_SCALE_U,
  madeMeasured,
  usedPhotos,
  withPhoto,
} from './support/made-measured.ts';

const m = madeMeasured();
const F = m.state.distances.length;
const n = parameterCount(m.state);
const mean = (v: readonly number[]): number => v.reduce((s, x) => s + x, 0) / v.length;

function told(of: Measured): MeasureResult {
  const result = resultOf(of, usedPhotos(of));
  if (!result.ok) throw new Error(result.error.code);
  return result.value;
}
const result = told(m);

/** The covariance that the fit's doubt gives, put together here as the README of `src/measure` says. */
function covarianceOf(of: Measured, looser = 1): Float64Array {
  const doubt = doubtOf(
    of.state,
    of.photos,
    of.rounds.map((r) => r.outline),
    of.prior,
    CUT,
    of.tau,
    {
      covariance: of.calibration.covariance,
      shared: SHARED,
      places: of.photos.map((_, i) => i),
      direct: { place: RATIO, shift: lengthsOf(of.state).map((v) => v * of.calibration.print.lean) },
    },
    influencesOf(of),
    looser * shapeDoubt(of),
  );
  if (!doubt.ok) throw new Error(doubt.error.code);
  return doubt.value.total;
}
const cov = covarianceOf(m);
const at = (i: number, j: number): number => cov[i * n + j]!;
const face = (name: string): number => m.solid.labels.indexOf(name);
const corner = (name: string): number => F + m.solid.corners.findIndex((c) => c.name === name);

describe('shape', () => {
  const believed = believedCrowns(crownPrior(m.job, mean([...m.state.radii])), F, []);

  test('faces and corners are those of the fit, with the square root of its variances', () => {
    for (const f of result.faces) {
      expect(f.distance).toBe(m.state.distances[face(f.name)]);
      expect(f.u).toBeCloseTo(Math.sqrt(at(face(f.name), face(f.name))), 12);
      expect(f.crown).toBeNull();
    }
    for (const c of result.corners) {
      expect(c.radius).toBe(m.state.radii[corner(c.name) - F]);
      expect(c.u).toBeCloseTo(Math.sqrt(at(corner(c.name), corner(c.name))), 12);
    }
  });

  test('an edge is rounded as the mean of its corners, and known as that mean is', () => {
    for (const e of result.edges) {
      const ends = m.solid.edges.find(({ name }) => name === e.name)!.corners;
      const [p, q] = [F + ends[0]!, F + ends[1]!];
      expect(e.radius).toBeCloseTo((m.state.radii[ends[0]!]! + m.state.radii[ends[1]!]!) / 2, 12);
      expect(e.u).toBeCloseTo(Math.sqrt((at(p, p) + at(q, q) + 2 * at(p, q)) / 4), 12);
    }
  });

  test('the covariance of the shape is that of the fit, under the names it has', () => {
    const places = result.shapeCovariance!.names.map((name) =>
      name.startsWith('face ') ? face(name.slice(5)) : corner(name.slice(7)),
    );
    expect(result.shapeCovariance!.names.filter((name) => name.startsWith('face '))).toHaveLength(F);
    result.shapeCovariance!.matrix.forEach((row, i) =>
      row.forEach((v, j) => expect(v).toBeCloseTo(at(places[i]!, places[j]!), 14)),
    );
  });

  test('an axis at its edges is the sum of two distances; over its faces with what is believed of both crowns', () => {
    for (const a of result.axes) {
      const [p, q] = a.name.split('-').map(face) as [number, number];
      const edges = m.state.distances[p]! + m.state.distances[q]!;
      const variance = at(p, p) + at(q, q) + 2 * at(p, q);
      expect(a.lengthAtEdges!.value).toBeCloseTo(edges, 12);
      expect(a.lengthAtEdges!.u).toBeCloseTo(Math.sqrt(variance), 12);
      expect(a.length).toBeCloseTo(edges + believed.values[p]! + believed.values[q]!, 12);
      const b = believed.covariance;
      expect(a.u ** 2).toBeCloseTo(variance + b[p * F + p]! + b[q * F + q]! + 2 * b[p * F + q]!, 12);
    }
    const finished = told({ ...m, job: { ...m.job, finish: 'tumbled' } });
    // A tumbled face stands 0.045 mm proud, as believed (src/measure/finish.ts).
    for (const a of finished.axes) expect(a.length - a.lengthAtEdges!.value).toBeCloseTo(0.09, 12);
  });

  test('what the axes share, and what tells them apart, follow from their covariance', () => {
    const c = result.axesCovariance;
    const k = c.length;
    const common = c.flat().reduce((s, v) => s + v, 0) / k ** 2;
    result.axes.forEach((a, i) => {
      const withMean = c[i]!.reduce((s, v) => s + v, 0) / k;
      expect(a.u).toBeCloseTo(Math.sqrt(c[i]![i]!), 12);
      expect(a.uCommon).toBeCloseTo(Math.sqrt(common), 12);
      expect(a.uDifference ** 2).toBeCloseTo(c[i]![i]! + common - 2 * withMean, 12);
    });
    expect(result.meanAxis).toEqual({ value: mean(result.axes.map((a) => a.length)), u: result.axes[0]!.uCommon });
    expect(result.meanCornerRadius.value).toBeCloseTo(mean([...m.state.radii]), 12);
    const lengths = result.axes.map((a) => a.length);
    expect(result.rangeOfAxes.value).toBeCloseTo(Math.max(...lengths) - Math.min(...lengths), 12);
    expect(result.axes.map((a) => a.name)).toEqual(['1-6', '2-5', '3-4']);
  });

  test('no photo that shows a face without a belief: rank, no number', () => {
    const open = { ...madeMeasured({ kind: 'd20', count: 1 }), prior: { face: Infinity, radius: Infinity } };
    expect(resultOf(open, usedPhotos(open))).toMatchObject({ ok: false, error: { code: 'rank' } });
  });

  test('metal doubts the shape 2.5 times as much', () => {
    const bright = { ...m, sheen: { ...m.sheen, limb: 0, light: [0, 0, 0.2] as const } };
    const [plain, metal] = [told({ ...bright, sheen: { ...bright.sheen, light: [0, 0, 0.1] } }), told(bright)];
    const noise = (r: MeasureResult): number => r.budget.find(({ source }) => source === 'noise')!.meanAxis;
    expect(noise(metal) / noise(plain)).toBeCloseTo(TYPE_B.metal, 9);
    expect(TYPE_B.metal).toBe(2.5);
  });
});

describe('what stands beside the shape', () => {
  test('camera, card and surface, each number with its own doubt', () => {
    const { camera, card, surface } = result;
    expect(camera.u).toHaveLength(5);
    camera.u.forEach((u, k) => expect(u).toBeCloseTo(MADE_CAMERA_U[k]! * (k === 0 ? m.calibration.shared.f : 1), 12));
    expect([camera.width, camera.height]).toEqual([3000, 2240]);
    // The largest of its three bends.
    expect(card).toMatchObject({ bow: 0.2, checked: true, bars: { x: 100, y: 100, u: 0.05 } });
    for (const bar of ['checkBar', 'checkBarY'] as const)
      expect(told({ ...m, job: { ...m.job, [bar]: null } }).card.checked).toBe(true);
    expect(told({ ...m, job: { ...m.job, checkBar: null, checkBarY: null } }).card.checked).toBe(false);
    expect(surface).toEqual({
      mirror: { value: 0.6, u: 0.1 },
      rough: { value: 0.3, u: 0.2 },
      limb: { value: 0.2, u: 0.3 },
      sharpening: { value: 0.4, u: 0.07 },
      sharpeningRadius: 1.1,
    });
  });

  test('the numbering and the apex that were told are kept, and nothing where none was', () => {
    expect(result.die).toEqual({ kind: 'd6' });
    const d10 = madeMeasured({ kind: 'd10', job: { apex: 90, numbering: TENS } });
    expect(told(d10).die).toEqual({ kind: 'd10', apex: 90, numbering: TENS });
  });

  test('outlines that scatter as their sigmas and offsets say have a reduced chi square of about one, less what weights against strays take', () => {
    const few = madeMeasured({ sigma: 0.05, tau: NO_TAU, count: 6 });
    expect(told(few).fit.reducedChiSquare).toBeGreaterThan(0.45);
    expect(told(few).fit.reducedChiSquare).toBeLessThan(1.2);
    // Offsets as large as the stretches' own noise halve it, and no more.
    const ratio = told({ ...few, tau: [0.05, 0.05, 0.05] }).fit.reducedChiSquare / told(few).fit.reducedChiSquare;
    expect(ratio).toBeGreaterThan(0.02);
    expect(ratio).toBeLessThan(0.6);
    expect(result.fit).toMatchObject({
      points: m.rounds.reduce((s, r) => s + r.outline.sigma.length, 0),
      outlineSigma: m.tau[0],
      stop: 'converged',
    });
  });

  test('a photo that was used tells its outline, its card and its lean; one left out stays as it is', () => {
    const photos = usedPhotos(m).map((p, i) => (i === 1 ? { ...p, status: 'left-out' as const } : p));
    const all = resultOf(m, photos);
    if (!all.ok) throw new Error(all.error.code);
    expect(all.value.photos[1]).toBe(photos[1]);
    const [first] = all.value.photos;
    const { outline } = m.rounds[0]!;
    expect(first!.outline!.sigmas).toEqual([...outline.sigma]);
    expect(first!.outline!.points).toEqual([...outline.xy]);
    expect(first).toMatchObject({ cardPoints: 2, cardSigma: 0.04, blur: [0.4, 0.4], status: 'used' });
    // The camera's axis against the card's normal.
    const { rotation } = m.photos[0]!.cameraFromCard;
    expect(first!.lean!).toBeCloseTo((Math.acos(Math.abs(rotation[8]!)) * 180) / Math.PI, 9);
    const rms = Math.sqrt(mean(first!.outline!.residuals.map((r) => r * r)));
    expect(rms).toBeGreaterThan(0.04);
    expect(rms).toBeLessThan(0.06);
  });

  test.each([
    [17.6, ['low-contrast']],
    [18.4, []],
  ])('a die %f display values off the stage: %j', (contrast, codes) => {
    const { edges, outline } = m.rounds[0]!;
    const values = new Float64Array(outline.sigma.length).fill(-contrast);
    // Those without an edge do not count.
    values.fill(0, 0, values.length >> 2);
    const dim = withPhoto(m, 'rounds', 0, { edges: { ...edges, contrast: values } });
    expect(told(dim).photos[0]!.notes.map(({ code }) => code)).toEqual(codes);
  });

  test.each([
    [0.99, []],
    [1.01, ['blur']],
  ])('a blur of %f px: %j', (high, codes) => {
    const soft = withPhoto(m, 'looks', 0, { blur: { low: 0.4, high, top: high } });
    expect(told(soft).photos[0]!.notes.map(({ code }) => code)).toEqual(codes);
  });
});

describe('what moves outlines and lengths', () => {
  const { byTerm, sigma } = m.rounds[0]!.outline;
  const all = influencesOf(m);
  const of = (source: string) => all.filter((f) => f.source === source);
  /** Movement of the first photo's points by terms with these weights. */
  const byTerms = (weights: Partial<Record<(typeof TERMS)[number], number>>): number[] =>
    Array.from(sigma, (_, k) =>
      TERMS.reduce((s, name, t) => s + (weights[name] ?? 0) * byTerm[k * TERM_COUNT + t]!, 0),
    );
  const expectClose = (seen: Float64Array | null | undefined, expected: readonly number[]): void =>
    expected.forEach((v, k) => expect(seen![k]).toBeCloseTo(v, 12));

  test('edges all alike, 0.05 px', () => {
    const [edge] = of('edge');
    expect(edge!.u).toBeCloseTo(0.05, 12);
    expect([...new Set(edge!.onPoints![0]!)]).toEqual([1]);
  });

  test("the rim's light together by a quarter, and what the faces leave open between its parts", () => {
    const [together, mirror, limb] = of('sheen');
    expect(together!.u).toBe(0.25);
    expectClose(together!.onPoints![0], byTerms({ mirror: 0.6, rough: 0.3, limb: 0.2 }));
    // What is polished less is rough more, by the covariance over the variance: 0.004 / 0.01.
    expect(mirror!.u).toBeCloseTo(0.1, 12);
    expectClose(mirror!.onPoints![0], byTerms({ mirror: 1, rough: -0.4 }));
    expect(limb!.u).toBeCloseTo(0.3, 12);
    expectClose(limb!.onPoints![0], byTerms({ limb: 1 }));
  });

  test.each([
    ['known worse than 0.3 and 0.5: no more than that', [0.16, -0.08, 0.49], 0.3, -0.5, 0.5],
    ['of one sign: nothing is exchanged', [0.01, 0.004, 0.01], 0.1, 0, 0.1],
    ['exchanged more than twice: twice', [0.01, -0.05, 0.01], 0.1, -2, 0.1],
    ['known exactly: nothing', [-1e-20, 0, -1e-20], 0, 0, 0],
  ])('light that is %s', (_what, [mirror, both, limb], u, exchange, limbU) => {
    const covariance = Float64Array.of(mirror!, both!, 0, both!, 0.04, 0, 0, 0, limb!);
    const [, first, second] = influencesOf({ ...m, sheen: { ...m.sheen, covariance } }).filter(
      (f) => f.source === 'sheen',
    );
    expect(first!.u).toBeCloseTo(u, 12);
    expectClose(first!.onPoints![0], byTerms({ mirror: 1, rough: exchange }));
    expect(second!.u).toBeCloseTo(limbU, 12);
  });

  test("the stage's shade by three tenths, the camera's sharpening as it is known, the card's scale on all lengths", () => {
    expect(of('shade')[0]!.u).toBe(0.3);
    expectClose(of('shade')[0]!.onPoints![0], byTerms({ shade: 1 }));
    expect(of('sharpening')[0]!.u).toBe(0.07);
    expectClose(of('sharpening')[0]!.onPoints![0], byTerms({ sharpening: 1 }));
    expect(of('scale')[0]!.u).toBe(MADE_SCALE_U);
    expect([...of('scale')[0]!.onParameters!]).toEqual([
      ...m.state.distances,
      ...m.state.radii,
      ...new Array<number>(n - F - m.state.radii.length).fill(0),
    ]);
    expect(of('crown')).toEqual([]);
    expect(of('outline')).toEqual([]);
  });

  test('card points that scatter more than usual: in all photos alike, and in each by itself', () => {
    const bent = influencesOf({ ...m, calibration: { ...m.calibration, sigma: 0.13 } }).filter(
      (f) => f.source === 'outline',
    );
    expect(bent).toHaveLength(1 + m.photos.length);
    for (const { u } of bent) expect(u).toBeCloseTo(Math.sqrt(0.13 ** 2 - 0.05 ** 2), 12);
    expect(bent[0]!.onPoints!.every((o) => o!.every((v) => v === 1))).toBe(true);
    expect(bent[2]!.onPoints!.map((o) => o !== null)).toEqual([false, true, false]);
  });

  test('crowns: all hidden alike by 0.012 mm, and the edges of faces seen edge-on by 0.15 px', () => {
    const crowned = { ...m, state: withCrowns(m.state, new Float64Array(F).fill(0.02)) };
    const face = Int32Array.from(sigma, (_, k) => (k % 3 === 0 ? k % F : -1));
    const outline = { ...m.rounds[0]!.outline, grazing: { face, byCrown: new Float64Array(sigma.length), crowns: [] } };
    const [edge, alike] = influencesOf(withPhoto(crowned, 'rounds', 0, { outline })).filter(
      (f) => f.source === 'crown',
    );
    expect([edge!.u, alike!.u]).toEqual([0.15, 0.012]);
    expect([...edge!.onPoints![0]!]).toEqual([...face].map((f) => (f >= 0 ? 1 : 0)));
    expect([...edge!.onPoints![1]!].every((v) => v === 0)).toBe(true);
    const from = F + m.state.radii.length;
    expect([...alike!.onParameters!]).toEqual(
      Array.from({ length: parameterCount(crowned.state) }, (_, i) => (i >= from && i < from + F ? 1 : 0)),
    );
  });

  test('fronts that are open move the parameters as their answer says', () => {
    const shift = Float64Array.of(1, 2, 3);
    const open = influencesOf({ ...m, open: { fronts: [], shifts: [shift] } }).filter((f) => f.source === 'front');
    expect(open).toHaveLength(1);
    expect(open[0]!.u).toBe(1);
    expect([...open[0]!.onParameters!.slice(0, 4)]).toEqual([1, 2, 3, 0]);
    expect(open[0]!.onParameters).toHaveLength(n);
  });
});

describe('budget', () => {
  test('each source by itself: its variance along the mean, along differences (the middle one), along the radius', () => {
    const { axes, mean: middle, radius } = axesOfDie(m);
    const influences = [
      { source: 'edge', shift: Float64Array.from({ length: n }, (_, i) => 0.001 * (i + 1)) },
      { source: 'sheen', shift: Float64Array.from({ length: n }, (_, i) => 0.002 * (i % 3)) },
      { source: 'sheen', shift: Float64Array.from({ length: n }, (_, i) => 0.003 * (i % 5)) },
    ];
    const diagonal = (v: number): Float64Array =>
      Float64Array.from({ length: n * n }, (_, k) => (k % (n + 1) === 0 ? v : 0));
    const budget = budgetOf(
      { noise: diagonal(1e-4), camera: diagonal(4e-4), influences, total: diagonal(0) },
      axes,
      middle,
      radius,
      n,
    );
    expect(budget.map(({ source }) => source)).toEqual(['noise', 'camera', 'edge', 'sheen']);
    const along = (row: Float64Array, shift: Float64Array): number => row.reduce((s, v, i) => s + v * shift[i]!, 0);
    const length = (row: Float64Array): number => Math.sqrt(along(row, row));
    const differences = axes.flatMap((a, i) => axes.slice(0, i).map((b) => a.row.map((v, k) => v - b.row[k]!)));
    const middleOf = (v: readonly number[]): number => [...v].sort((p, q) => p - q)[v.length >> 1]!;
    const lines = new Map(budget.map((line) => [line.source, line]));
    for (const [source, u] of [
      ['noise', 0.01],
      ['camera', 0.02],
    ] as const) {
      expect(lines.get(source)!.meanAxis).toBeCloseTo(u * length(middle.row), 12);
      expect(lines.get(source)!.meanRadius).toBeCloseTo(u * length(radius.row), 12);
      expect(lines.get(source)!.difference).toBeCloseTo(u * middleOf(differences.map(length)), 12);
    }
    expect(lines.get('edge')!.meanAxis).toBeCloseTo(Math.abs(along(middle.row, influences[0]!.shift)), 12);
    expect(lines.get('sheen')!.meanAxis).toBeCloseTo(
      Math.hypot(along(middle.row, influences[1]!.shift), along(middle.row, influences[2]!.shift)),
      12,
    );
  });

  test('what crowns that no photo showed add: along the crowns alone', () => {
    const row = (...values: number[]): { name: string; value: number; row: Float64Array } => ({
      name: '',
      value: 0,
      row: Float64Array.of(...values),
    });
    const size = 4;
    const covariance = Float64Array.from({ length: 16 }, (_, k) => (k % 5 === 0 ? 0.01 ** 2 : 0));
    const line = believedLine([row(1, 0, 1, 0), row(0, 1, 0, 1)], row(5, 5, 0.5, 0.5), 2, covariance, size);
    expect(line).toMatchObject({ source: 'crown', meanRadius: 0 });
    expect(line.meanAxis).toBeCloseTo(0.01 * Math.SQRT1_2, 12);
    expect(line.difference).toBeCloseTo(0.01 * Math.SQRT2, 12);
  });

  test('of a result: all sources together are its doubt', () => {
    const sum = Math.hypot(...result.budget.map((line) => line.meanAxis));
    expect(sum / result.meanAxis.u).toBeCloseTo(1, 9);
    const radius = Math.hypot(...result.budget.map((line) => line.meanRadius));
    expect(radius / result.meanCornerRadius.u).toBeCloseTo(1, 9);
  });
});

test('the place of a photo in the covariance is nine numbers after the shared ones', () => {
  expect([SHARED, PER_PHOTO, RATIO]).toEqual([9, 9, 8]);
});
