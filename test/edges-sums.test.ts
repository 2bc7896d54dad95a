import { expect, test } from 'vitest';
import { choleskyInPlace, choleskySolve } from '../src/maths/linear.ts';
import { seededRandom } from '../src/maths/random.ts';
import { edgeMemory, F, PARAMETER, PIXEL, RESIDUAL, SEEN, SI, SLOPE, SO, WEIGHT } from '../src/vision/edge-memory.ts';

const UNKNOWNS = 5;
const SIZE = 11;
const LAST = 71;
const VARIANCES = [4, 7] as const;

/** A profile that rises over the outline, its changes, and pixels round it: some beyond its ends. */
function fill(count: number, seed: number): void {
  const random = seededRandom(seed);
  const { VALUE, STEP, CHANGES, PIXELS, PARAMETERS, BELIEFS, LOCAL } = edgeMemory();
  for (let i = 0; i < VALUE.length; i++) {
    STEP[i] = 1 / (1 + Math.exp((36 - i) / 3));
    VALUE[i] = 60 + 90 * STEP[i]! + random();
  }
  for (let i = 0; i < CHANGES.length; i++) CHANGES[i] = random() - 0.5;
  for (let m = 0; m < count; m++)
    PIXELS.set([24 * random() - 12, 60 + 90 * Number(random() < 0.5) + 9 * random(), 0.1 * random()], PIXEL * m);
  PARAMETERS.set(VARIANCES, PARAMETER.variances);
  BELIEFS.set([3, 40, 2, 40, 2]);
  LOCAL.fill(0);
}

interface Seen {
  readonly r: number;
  readonly f: number;
  readonly slope: number;
  readonly si: number;
  readonly so: number;
  readonly w: number;
  readonly cell: number;
  readonly t: number;
}

/** What a look at one pixel says. */
function seenPlainly(m: number, local: Float64Array, robust: boolean): Seen {
  const { VALUE, STEP, PIXELS } = edgeMemory();
  const s = PIXELS[PIXEL * m]! - local[0]!;
  const q = (s + PIXELS[PIXEL * m + 2]! + 9) * 4;
  let [value, slope, cell, t] = [VALUE[0]!, 0, 0, 0];
  if (q >= LAST) [value, cell, t] = [VALUE[LAST + 1]!, LAST, 1];
  else if (q > 1) {
    cell = Math.floor(q);
    t = q - cell;
    const [p0, p1, p2, p3] = [...VALUE.subarray(cell - 1, cell + 3)] as [number, number, number, number];
    const a = p2 - p0;
    const b = 2 * p0 - 5 * p1 + 4 * p2 - p3;
    const c = 3 * (p1 - p2) + p3 - p0;
    value = p1 + 0.5 * t * (a + t * (b + t * c));
    slope = (0.5 * a + t * b + 1.5 * t * t * c) * 4;
  }
  const f = STEP[cell]! + t * (STEP[cell + 1]! - STEP[cell]!);
  const [si, so] = [s < 0 ? s : 0, s > 0 ? s : 0];
  const r = PIXELS[PIXEL * m + 1]! - value - (1 - f) * (local[1]! + local[2]! * si) - f * (local[3]! + local[4]! * so);
  const variance = VARIANCES[0] + (VARIANCES[1] - VARIANCES[0]) * f;
  const weight = robust ? 1 / (1 + (r * r) / (16 * variance)) : 1;
  return { r, f, slope, si, so, w: weight / variance, cell, t };
}

interface Sums {
  readonly matrix: Float64Array;
  readonly gradient: Float64Array;
  readonly sum: number;
}

/** The normal equations, one pixel after another; of the changes what the module promises. */
function sumsPlainly(count: number, local: Float64Array, robust: boolean, changes: number): Sums {
  const matrix = new Float64Array(SIZE * SIZE);
  const gradient = new Float64Array(SIZE);
  let sum = 0;
  for (let m = 0; m < count; m++) {
    const { r, f, slope, si, so, w, cell, t } = seenPlainly(m, local, robust);
    const row = [-slope, 1 - f, (1 - f) * si, f, f * so];
    for (let a = 0; a < UNKNOWNS; a++) {
      gradient[a]! += w * row[a]! * r;
      for (let b = 0; b <= a; b++) matrix[SIZE * a + b]! += w * row[a]! * row[b]!;
    }
    sum += w * r * r;
    const v = Array.from({ length: changes }, (_, k) => changeAt(k, cell, t));
    for (let k = 0; k < changes; k++) {
      const by = [w * -slope, w * (1 - f), w * (1 - f) * si, w * f, w * f * so];
      for (let a = 0; a < UNKNOWNS; a++) matrix[SIZE * (UNKNOWNS + k) + a]! += by[a]! * v[k]!;
      if (k > 2) continue;
      gradient[UNKNOWNS + k]! += w * v[k]! * r;
      for (const l of [k - (k % 2), k]) if (l < k) matrix[SIZE * (UNKNOWNS + k) + UNKNOWNS + l]! += w * v[k]! * v[l]!;
      matrix[SIZE * (UNKNOWNS + k) + UNKNOWNS + k]! += w * v[k]! * v[k]!;
    }
  }
  return { matrix, gradient, sum };
}

/** A change between two cells: pairs of changes stand side by side. */
function changeAt(k: number, cell: number, t: number): number {
  const { CHANGES } = edgeMemory();
  const o = (k - (k % 2)) * 80 + (k % 2);
  const here = CHANGES[o + 2 * cell]!;
  return here + t * (CHANGES[o + 2 * cell + 2]! - here);
}

/** The module's sums are these; of the look's three changes with themselves, of the other with the unknowns alone. */
function expectSums({ matrix, gradient }: Sums, changes: number): void {
  const { MATRIX, GRADIENT } = edgeMemory();
  for (let a = 0; a < UNKNOWNS + changes; a++) {
    for (let b = 0; b < UNKNOWNS; b++) if (b <= a) expect(MATRIX[SIZE * a + b]).toBe(matrix[SIZE * a + b]);
    if (a < UNKNOWNS + 3) expect(GRADIENT[a]).toBe(gradient[a]);
    if (a >= UNKNOWNS && a < UNKNOWNS + 3) expect(MATRIX[(SIZE + 1) * a]).toBe(matrix[(SIZE + 1) * a]);
  }
  if (changes > 1) expect(MATRIX[SIZE * 6 + 5]).toBe(matrix[SIZE * 6 + 5]);
}

test.each([1, 2, 7, 104, 333])('the sums of %i pixels are those of one after another, to the last bit', (count) => {
  fill(count, count);
  const { LOCAL, SEEN_PIXELS, run } = edgeMemory();
  run.takeCurves();
  LOCAL.set([0.3, 2, -0.5, 1, 0.25]);
  expectSums({ ...sumsPlainly(count, LOCAL, false, 0), sum: run.accumulate(count, false, false) }, 0);
  for (const changes of [0, 3, 6]) {
    const plain = sumsPlainly(count, LOCAL, true, changes);
    expect(run.withChanges(count, changes)).toBe(plain.sum);
    expectSums(plain, changes);
  }
  for (let m = 0; m < count; m++) {
    const { r, f, slope, si, so, w } = seenPlainly(m, LOCAL, true);
    const own = [RESIDUAL, F, SLOPE, SI, SO, WEIGHT].map((k) => SEEN_PIXELS[SEEN * m + k]);
    expect(own).toEqual([r, f, slope, si, so, w].map((v) => v + 0));
  }
});

/** The unknowns after so many looks, by plain code; null where the block is singular. */
function settledPlainly(count: number, looks: number): Float64Array | null {
  const { BELIEFS } = edgeMemory();
  const local = new Float64Array(UNKNOWNS);
  for (let look = 0; look < looks; look++) {
    const { matrix, gradient } = sumsPlainly(count, local, look > 0, 0);
    const factor = new Float64Array(UNKNOWNS * UNKNOWNS);
    for (let a = 0; a < UNKNOWNS; a++) {
      const w = 1 / (BELIEFS[a]! * BELIEFS[a]!);
      matrix[(SIZE + 1) * a]! += w;
      gradient[a]! -= w * local[a]!;
      factor.set(matrix.subarray(SIZE * a, SIZE * a + UNKNOWNS), UNKNOWNS * a);
    }
    if (!choleskyInPlace(factor, UNKNOWNS, 1e-12)) return null;
    const step = choleskySolve(factor, UNKNOWNS, gradient);
    local[0] = Math.max(-5, Math.min(7, local[0]! + Math.max(-1, Math.min(1, step[0]!))));
    for (let a = 1; a < UNKNOWNS; a++) local[a]! += step[a]!;
    if (look > 0 && Math.abs(step[0]!) < 4e-3) break;
  }
  return local;
}

test('unknowns settle where plain code moves them to, to the last bit', () => {
  const { LOCAL, BELIEFS, MATRIX, GRADIENT, FACTOR, SOLVED, run } = edgeMemory();
  for (let seed = 1; seed <= 20; seed++) {
    const count = 40 + 7 * seed;
    fill(count, 100 + seed);
    expect(run.settle(count, 4, 5, 7)).toBe(1);
    expect([...LOCAL]).toEqual([...settledPlainly(count, 4)!]);
    run.withChanges(count, 6);
    expect(run.factored()).toBe(1);
    run.solveChanges(6);
    const rights = [0, 1, 2, 3, 4, 5].map((t) => MATRIX.subarray(SIZE * (UNKNOWNS + t)));
    const solved = [...rights, GRADIENT].flatMap((right) => [...choleskySolve(FACTOR, UNKNOWNS, right)]);
    expect([...SOLVED]).toEqual(solved);
  }
  // Without a belief, of pixels that say nothing of most unknowns.
  fill(1, 1);
  BELIEFS.fill(Infinity);
  expect(settledPlainly(1, 4)).toBeNull();
  expect(run.settle(1, 4, 5, 7)).toBe(0);
});
