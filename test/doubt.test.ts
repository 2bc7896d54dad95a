import { describe, expect, test } from 'vitest';
import { fitDie } from '../src/fit/die-fit.ts';
import { parameterCount, type DieState, type FitPhoto } from '../src/fit/die-state.ts';
import { CUT, SHAPE_PRIOR } from '../src/fit/normal-equations.ts';
import { photoRows } from '../src/fit/photo-rows.ts';
import { NO_TAU, type Tau } from '../src/fit/stretches.ts';
import { doubtOf, HIDDEN, stretchSigma, TAU_LEAST, TAU_USUAL, type Doubt, type Influence } from '../src/fit/doubt.ts';
import type { Outline } from '../src/geometry/outline.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';
import { exactOutline, shifted, unevenDie } from './support/synthetic-die.ts';

const refit = (state: DieState, photos: readonly FitPhoto[], outlines: readonly Outline[], tau: Tau): DieState =>
  fitDie(state, photos, outlines, { prior: SHAPE_PRIOR, free: 'whole', steps: 40, cut: CUT, tau }).state;

const noCamera = (photos: readonly FitPhoto[]) => ({
  covariance: new Float64Array((9 + 9 * photos.length) ** 2),
  shared: 9,
  places: photos.map((_, i) => i),
});

function doubted(
  state: DieState,
  photos: readonly FitPhoto[],
  outlines: readonly Outline[],
  tau: Tau,
  influences: readonly Influence[] = [],
  camera = noCamera(photos),
): Doubt {
  const found = doubtOf(state, photos, outlines, SHAPE_PRIOR, CUT, tau, camera, influences);
  if (!found.ok) throw new Error(found.error.code);
  return found.value;
}

/** Rows of what is told: each axis, a difference of two, the mean radius. */
function rowsOf(state: DieState): Float64Array[] {
  const n = parameterCount(state);
  const { opposite } = state.solid;
  const axes = opposite.flatMap((o, f) => {
    if (o < f) return [];
    const row = new Float64Array(n);
    row[f] = row[o] = 1;
    return [row];
  });
  const radius = new Float64Array(n).map((_, k) => {
    const corner = k - state.distances.length;
    return corner >= 0 && corner < state.radii.length ? 1 / state.radii.length : 0;
  });
  return [...axes, axes[0]!.map((v, k) => v - axes[1]![k]!), radius];
}

const flat = (s: DieState): Float64Array =>
  Float64Array.of(...s.distances, ...s.radii, ...s.stands.flatMap(({ x, y, yaw }) => [x, y, yaw]));
const times = (row: Float64Array, values: Float64Array): number => row.reduce((s, v, k) => s + v * values[k]!, 0);
const variance = (row: Float64Array, m: Float64Array): number => {
  const n = row.length;
  return row.reduce((s, v, i) => s + v * row.reduce((t, w, j) => t + m[i * n + j]! * w, 0), 0);
};

describe('truth lies within the doubt as often as claimed', () => {
  const repeats = 60;
  const sigma = 0.05;

  /** Errors over doubts of all that is told, in repeated pictures of one die. */
  function scores(tau: Tau): number[] {
    const { truth, photos } = unevenDie('d6', 31);
    const exact = photos.map((p, i) => exactOutline(truth, p, i, 5, sigma));
    const normal = seededNormal(seededRandom(77));
    const rows = rowsOf(truth);
    const stretchOf = exact.map((o, i) => {
      const r = photoRows(truth, photos[i]!, i, o, false);
      return Array.from(
        { length: r.count },
        (_, k) =>
          Math.min(r.firstCorner[k]!, r.secondCorner[k]!) * 100 + Math.max(r.firstCorner[k]!, r.secondCorner[k]!),
      );
    });
    const z: number[] = [];
    for (let n = 0; n < repeats; n++) {
      const outlines = exact.map((o, i) => {
        const own = new Map<number, number>();
        for (const key of new Set(stretchOf[i]!))
          own.set(key, tau[Math.floor(key / 100) === key % 100 ? 2 : 0] * normal());
        return shifted(o, (k) => sigma * normal() + own.get(stretchOf[i]![k]!)!);
      });
      const state = refit(truth, photos, outlines, tau);
      const { noise } = doubted(state, photos, outlines, tau);
      const error = flat(state).map((v, k) => v - flat(truth)[k]!);
      for (const row of rows) z.push((HIDDEN * times(row, error)) / Math.sqrt(variance(row, noise)));
    }
    return z;
  }

  test.each<[string, Tau]>([
    ['independent points', NO_TAU],
    ['stretches with offsets of their own', [0.06, 0.06, 0.06]],
  ])('%s', (_what, tau) => {
    const z = scores(tau);
    const rms = Math.sqrt(z.reduce((s, v) => s + v * v, 0) / z.length);
    const within = z.filter((v) => Math.abs(v) <= 2).length / z.length;
    // 60 pictures of five quantities: the root mean square is good to a twelfth or so.
    expect(rms).toBeGreaterThan(0.8);
    expect(rms).toBeLessThan(1.15);
    expect(within).toBeGreaterThan(0.92);
    expect(within).toBeLessThan(0.995);
  });
});

describe('what moves the outlines, moves the shape as the doubt says', () => {
  const { truth, photos } = unevenDie('d8', 13);
  const outlines = photos.map((p, i) => exactOutline(truth, p, i, 4, 0.02));
  const compare = (predicted: Float64Array, moved: DieState, tolerance: number): void => {
    const change = flat(moved).map((v, k) => v - flat(truth)[k]!);
    for (const row of rowsOf(truth)) {
      const [p, c] = [times(row, predicted), times(row, change)];
      expect(Math.abs(p - c)).toBeLessThan(tolerance * Math.abs(c) + 2e-6);
    }
  };

  test('an edge that lies a hundredth of a pixel too far out everywhere: all axes grow alike', () => {
    const u = 0.01;
    const onPoints = outlines.map((o) => new Float64Array(o.sigma.length).fill(1));
    const { influences } = doubted(truth, photos, outlines, NO_TAU, [
      { source: 'edge', u, onPoints, onParameters: null },
    ]);
    const { shift } = influences[0]!;
    compare(
      shift,
      refit(
        truth,
        photos,
        outlines.map((o) => shifted(o, () => u)),
        NO_TAU,
      ),
      0.03,
    );
    const axes = rowsOf(truth)
      .slice(0, -2)
      .map((row) => times(row, shift));
    const mean = axes.reduce((s, v) => s + v, 0) / axes.length;
    const scale = photoRows(truth, photos[0]!, 0, outlines[0]!, false).scale;
    expect(mean / (2 * u * scale[0]!)).toBeGreaterThan(0.8);
    expect(mean / (2 * u * scale[0]!)).toBeLessThan(1.6);
    expect(Math.max(...axes) - Math.min(...axes)).toBeLessThan(0.2 * mean);
  });

  test('a longer focal length', () => {
    const u = 2e-4;
    const camera = noCamera(photos);
    camera.covariance[0] = u * u;
    const { camera: covariance } = doubted(truth, photos, outlines, NO_TAU, [], camera);
    const longer = photos.map((p) => ({ ...p, camera: { ...p.camera, f: p.camera.f * Math.exp(u) } }));
    const change = flat(refit(truth, longer, outlines, NO_TAU)).map((v, k) => v - flat(truth)[k]!);
    for (const row of rowsOf(truth)) {
      const c = Math.abs(times(row, change));
      expect(Math.abs(Math.sqrt(variance(row, covariance)) - c)).toBeLessThan(0.02 * c + 1e-6);
    }
  });

  test('the scale of the card: all lengths by the same share, the total by its square', () => {
    const u = 3e-3;
    const n = parameterCount(truth);
    const lengths = flat(truth).map((v, k) => (k < truth.distances.length + truth.radii.length ? v : 0));
    const scale: Influence = { source: 'scale', u, onPoints: null, onParameters: lengths };
    const { noise, total } = doubted(truth, photos, outlines, NO_TAU, [scale]);
    for (const row of rowsOf(truth)) {
      const added = variance(row, total) - variance(row, noise);
      expect(Math.sqrt(Math.max(0, added)) / Math.abs(u * times(row, lengths))).toBeCloseTo(1, 6);
    }
    expect(total).toHaveLength(n * n);
  });
});

describe('scatter of stretches', () => {
  const { truth, photos } = unevenDie('d12', 17);
  const exact = photos.map((p, i) => exactOutline(truth, p, i, 4, 0.03));
  const withOffsets = (size: number): Outline[] => {
    const normal = seededNormal(seededRandom(3));
    return exact.map((o, i) => {
      const r = photoRows(truth, photos[i]!, i, o, false);
      const own = new Map<string, number>();
      return shifted(o, (k) => {
        const key = [r.firstCorner[k]!, r.secondCorner[k]!].sort((a, b) => a - b).join();
        if (!own.has(key)) own.set(key, size * normal());
        return own.get(key)! + 0.03 * normal();
      });
    });
  };

  test('is found from the residuals', () => {
    const [open] = stretchSigma(truth, photos, withOffsets(0.2), CUT);
    expect(open).toBeGreaterThan(0.12);
    expect(open).toBeLessThan(0.3);
  });

  test('is counted in strains where the light slopes', () => {
    const outlines = withOffsets(0.2);
    const strained = outlines.map((o) => ({ ...o, strain: new Float64Array(o.sigma.length).fill(2) }));
    const [plain] = stretchSigma(truth, photos, outlines, CUT);
    const [open] = stretchSigma(truth, photos, strained, CUT);
    expect(open / plain).toBeGreaterThan(0.45);
    expect(open / plain).toBeLessThan(0.6);
  });

  test('is not made up where there is none, nor ever nothing', () => {
    const none = stretchSigma(truth, photos, withOffsets(0), CUT);
    none.forEach((v, kind) => {
      expect(v).toBeGreaterThanOrEqual(TAU_LEAST[kind]!);
      expect(v).toBeLessThanOrEqual(TAU_USUAL[kind]!);
    });
    expect(none[0]).toBeLessThan(0.03);
  });
});

describe('what no photo shows', () => {
  const { truth, photos } = unevenDie('d20', 19, 1);
  const outlines = photos.map((p, i) => exactOutline(truth, p, i, 4, 0.02));
  const open = { face: Infinity, radius: Infinity };

  test('without beliefs: rank loss is a failure, not a large number', () => {
    expect(doubtOf(truth, photos, outlines, open, CUT, NO_TAU, noCamera(photos), [])).toEqual({
      ok: false,
      error: { code: 'rank', needed: parameterCount(truth) },
    });
  });

  test('with them: the doubt of an unseen face is that of the belief', () => {
    const { noise } = doubted(truth, photos, outlines, NO_TAU);
    const n = parameterCount(truth);
    const u = Array.from(truth.distances, (_, f) => Math.sqrt(noise[f * n + f]!) / HIDDEN);
    expect(Math.max(...u)).toBeGreaterThan(0.6 * SHAPE_PRIOR.face);
    expect(Math.min(...u)).toBeLessThan(0.3 * SHAPE_PRIOR.face);
  });
});
