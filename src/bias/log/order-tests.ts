import { chiSquareSurvival, normalSurvival } from '../../maths/distributions.ts';
import { pearson, type TestResult } from './count-tests.ts';

/** P(K > x) of Kolmogorov's distribution. */
export function kolmogorovSurvival(x: number): number {
  if (!(x > 0)) return 1;
  let sum = 0;
  for (let j = 1; j <= 100; j++) {
    const term = 2 * (j % 2 === 1 ? 1 : -1) * Math.exp(-2 * j * j * x * x);
    sum += term;
    if (Math.abs(term) < 1e-17) break;
  }
  return Math.min(1, Math.max(0, sum));
}

/** x with P(K > x) = p; by bisection. */
export function kolmogorovQuantile(p: number): number {
  let [low, high] = [0.2, 5];
  for (let i = 0; i < 80; i++) {
    const mid = (low + high) / 2;
    if (kolmogorovSurvival(mid) > p) low = mid;
    else high = mid;
  }
  return (low + high) / 2;
}

export interface OrderTests {
  /** Rolls that repeat the one before, against chance: too many speak of one die lying still or a hand that does not shake. */
  readonly repeats: { readonly seen: number; readonly expected: number; readonly z: number; readonly p: number } | null;
  /** Each pair of neighbours against independence; null where cells would expect fewer than 5. */
  readonly neighbours: TestResult | null;
  /** Runs above and below the middle number (Wald and Wolfowitz 1940); null where one side is empty. */
  readonly runs: { readonly seen: number; readonly expected: number; readonly z: number; readonly p: number } | null;
  /** Whether the chances stay the same along the log: the face whose share drifts most, Kolmogorov's distribution, all faces counted in. */
  readonly drift: { readonly face: number; readonly at: number; readonly p: number } | null;
  /** First, third, fifth ... rolls against the others: two dice rolled in turn. */
  readonly alternate: TestResult | null;
}

const twoSided = (z: number): number => Math.min(1, 2 * normalSurvival(Math.abs(z)));

/** Tests that need the order of the rolls. */
export function orderTests(sequence: ArrayLike<number>, faces: number): OrderTests {
  const n = sequence.length;
  const counts = new Float64Array(faces);
  for (let t = 0; t < n; t++) counts[sequence[t]]++;
  if (n < 10) return { repeats: null, neighbours: null, runs: null, drift: null, alternate: null };
  return {
    repeats: repeats(sequence, counts),
    neighbours: neighbours(sequence, faces, counts),
    runs: runs(sequence, faces),
    drift: drift(sequence, counts),
    alternate: alternate(sequence, faces, counts),
  };
}

function repeats(sequence: ArrayLike<number>, counts: Float64Array): NonNullable<OrderTests['repeats']> {
  const n = sequence.length;
  let seen = 0;
  for (let t = 1; t < n; t++) if (sequence[t] === sequence[t - 1]) seen++;
  // Given the counts all orders are alike: pairs are drawn without putting back.
  const share = counts.reduce((s, c) => s + (c * (c - 1)) / (n * (n - 1)), 0);
  const expected = (n - 1) * share;
  const z = share > 0 && share < 1 ? (seen - expected) / Math.sqrt(expected * (1 - share)) : 0;
  return { seen, expected, z, p: twoSided(z) };
}

function neighbours(sequence: ArrayLike<number>, faces: number, counts: Float64Array): TestResult | null {
  const n = sequence.length;
  if (Math.min(...counts) ** 2 / n < 5) return null;
  const pairs = new Float64Array(faces * faces);
  for (let t = 1; t < n; t++) pairs[sequence[t - 1] * faces + sequence[t]]++;
  const from = new Float64Array(faces);
  const to = new Float64Array(faces);
  pairs.forEach((c, i) => {
    from[Math.floor(i / faces)] += c;
    to[i % faces] += c;
  });
  const { statistic } = pearson(
    pairs,
    Array.from(pairs, (_, i) => (from[Math.floor(i / faces)] * to[i % faces]) / (n - 1)),
  );
  const df = (faces - 1) ** 2;
  return { statistic, df, p: chiSquareSurvival(statistic, df) };
}

function runs(sequence: ArrayLike<number>, faces: number): OrderTests['runs'] {
  const n = sequence.length;
  const half = faces / 2;
  let above = 0;
  let seen = 1;
  for (let t = 0; t < n; t++) {
    if (sequence[t] >= half) above++;
    if (t > 0 && sequence[t] >= half !== sequence[t - 1] >= half) seen++;
  }
  const below = n - above;
  if (above === 0 || below === 0) return null;
  const expected = 1 + (2 * above * below) / n;
  const variance = ((expected - 1) * (expected - 2)) / (n - 1);
  const z = variance > 0 ? (seen - expected) / Math.sqrt(variance) : 0;
  return { seen, expected, z, p: twoSided(z) };
}

function drift(sequence: ArrayLike<number>, counts: Float64Array): OrderTests['drift'] {
  const n = sequence.length;
  const faces = counts.length;
  const running = new Float64Array(faces);
  const furthest = new Float64Array(faces);
  const where = new Int32Array(faces);
  for (let t = 0; t < n; t++) {
    const face = sequence[t];
    // Between its own hits a face's path falls evenly: its ends there are enough.
    for (const after of [0, 1]) {
      const off = Math.abs(running[face] + after - (counts[face] * (t + after)) / n);
      if (off > furthest[face]) {
        furthest[face] = off;
        where[face] = t + after;
      }
    }
    running[face]++;
  }
  let best: OrderTests['drift'] = null;
  for (let f = 0; f < faces; f++) {
    const share = counts[f] / n;
    if (share <= 0 || share >= 1) continue;
    const p = Math.min(1, faces * kolmogorovSurvival(furthest[f] / Math.sqrt(n * share * (1 - share))));
    if (!best || p < best.p) best = { face: f, at: where[f], p };
  }
  return best;
}

function alternate(sequence: ArrayLike<number>, faces: number, counts: Float64Array): TestResult | null {
  const n = sequence.length;
  if (Math.min(...counts) / 2 < 5) return null;
  const odd = new Float64Array(faces);
  for (let t = 0; t < n; t += 2) odd[sequence[t]]++;
  const first = Math.ceil(n / 2);
  let statistic = 0;
  for (let f = 0; f < faces; f++) {
    const [e, g] = [(counts[f] * first) / n, (counts[f] * (n - first)) / n];
    statistic += (odd[f] - e) ** 2 / e + (counts[f] - odd[f] - g) ** 2 / g;
  }
  return { statistic, df: faces - 1, p: chiSquareSurvival(statistic, faces - 1) };
}
