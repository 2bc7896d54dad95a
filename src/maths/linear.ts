/** Small dense linear algebra on flat row-major arrays (`rows x cols`). */

/** Lower Cholesky factor of a symmetric positive definite n x n matrix, or null where a pivot falls below `tolerance` of its diagonal. */
export function cholesky(a: Float64Array, n: number, tolerance = 1e-13): Float64Array | null {
  const l = a.slice();
  if (!choleskyInPlace(l, n, tolerance)) return null;
  for (let i = 0; i < n; i++) l.fill(0, i * n + i + 1, (i + 1) * n);
  return l;
}

/**
 * Turns the lower triangle of a matrix into its Cholesky factor; the upper one is not touched. False as {@link cholesky} is null, the lower one then
 * being left half done.
 */
export function choleskyInPlace(l: Float64Array, n: number, tolerance: number): boolean {
  const end = n * n;
  for (let j = 0, q = 0; j < n; j++, q += n) {
    const a = l[q + j]!;
    lessColumnsBefore(l, n, j);
    const s = l[q + j]!;
    if (!(s > tolerance * Math.abs(a))) return false;
    const pivot = Math.sqrt(s);
    l[q + j] = pivot;
    for (let o = q + n + j; o < end; o += n) l[o]! /= pivot;
  }
  return true;
}

/**
 * Takes the products with the columns before column `j` out of it, from its diagonal on. Four rows at a time: each difference waits for the one before in
 * its row, but not for other rows'. Where rows run out the last one is worked out again.
 */
function lessColumnsBefore(l: Float64Array, n: number, j: number): void {
  const q = j * n;
  const last = n * n - n;
  for (let p = q; p <= last; p += 4 * n) {
    const p1 = Math.min(p + n, last);
    const p2 = Math.min(p1 + n, last);
    const p3 = Math.min(p2 + n, last);
    let s = l[p + j]!;
    let s1 = l[p1 + j]!;
    let s2 = l[p2 + j]!;
    let s3 = l[p3 + j]!;
    for (let k = 0; k < j; k++) {
      const v = l[q + k]!;
      s -= l[p + k]! * v;
      s1 -= l[p1 + k]! * v;
      s2 -= l[p2 + k]! * v;
      s3 -= l[p3 + k]! * v;
    }
    l[p + j] = s;
    l[p1 + j] = s1;
    l[p2 + j] = s2;
    l[p3 + j] = s3;
  }
}

/** Solves `L L' x = b` with the factor of {@link cholesky}; returns a new vector. */
export function choleskySolve(l: Float64Array, n: number, b: ArrayLike<number>): Float64Array {
  const x = new Float64Array(n);
  choleskySolveInto(l, n, b, x);
  return x;
}

/** The same into `x`, whose first n numbers are overwritten; `b` may be longer than n. */
export function choleskySolveInto(l: Float64Array, n: number, b: ArrayLike<number>, x: Float64Array): void {
  for (let i = 0; i < n; i++) x[i] = b[i]!;
  solveFrom(l, n, 0, x);
}

/** Solves in place; the numbers before `first` are 0. */
function solveFrom(l: Float64Array, n: number, first: number, x: Float64Array): void {
  for (let i = first; i < n; i++) {
    let s = x[i]!;
    for (let k = first; k < i; k++) s -= l[i * n + k]! * x[k]!;
    x[i] = s / l[i * n + i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    let s = x[i]!;
    for (let k = i + 1; k < n; k++) s -= l[k * n + i]! * x[k]!;
    x[i] = s / l[i * n + i]!;
  }
}

/** Column `j` of the inverse of a matrix, from its factor, into `x`. */
export function choleskyInverseColumn(l: Float64Array, n: number, j: number, x: Float64Array): void {
  x.fill(0);
  x[j] = 1;
  solveFrom(l, n, j, x);
}

/** Inverse of a symmetric positive definite matrix from its factor; n x n. */
export function choleskyInverse(l: Float64Array, n: number): Float64Array {
  const m = new Float64Array(n * n);
  // Invert L in place of m, then multiply inv(L)' inv(L).
  for (let j = 0; j < n; j++) {
    m[j * n + j] = 1 / l[j * n + j]!;
    for (let i = j + 1; i < n; i++) {
      let s = 0;
      for (let k = j; k < i; k++) s -= l[i * n + k]! * m[k * n + j]!;
      m[i * n + j] = s / l[i * n + i]!;
    }
  }
  const out = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) {
      let s = 0;
      for (let k = i; k < n; k++) s += m[k * n + i]! * m[k * n + j]!;
      out[i * n + j] = out[j * n + i] = s;
    }
  return out;
}

/** Solves a general n x n system by Gaussian elimination with partial pivoting; null where singular. */
export function solve(a: ArrayLike<number>, b: ArrayLike<number>, n: number): Float64Array | null {
  const m = Float64Array.from(a);
  const x = Float64Array.from(b);
  for (let c = 0; c < n; c++) {
    let p = c;
    for (let r = c + 1; r < n; r++) if (Math.abs(m[r * n + c]!) > Math.abs(m[p * n + c]!)) p = r;
    const pivot = m[p * n + c]!;
    if (!(Math.abs(pivot) > 1e-300)) return null;
    if (p !== c) {
      for (let k = c; k < n; k++) [m[c * n + k], m[p * n + k]] = [m[p * n + k]!, m[c * n + k]!];
      [x[c], x[p]] = [x[p]!, x[c]!];
    }
    for (let r = c + 1; r < n; r++) {
      const f = m[r * n + c]! / pivot;
      if (f === 0) continue;
      for (let k = c; k < n; k++) m[r * n + k] = m[r * n + k]! - f * m[c * n + k]!;
      x[r] = x[r]! - f * x[c]!;
    }
  }
  for (let i = n - 1; i >= 0; i--) {
    let s = x[i]!;
    for (let k = i + 1; k < n; k++) s -= m[i * n + k]! * x[k]!;
    x[i] = s / m[i * n + i]!;
  }
  return x;
}

/** Middle value of a list (mean of the two middle ones), NaN where empty; the list is not changed. */
export function median(values: ArrayLike<number>): number {
  const s = Float64Array.from(values);
  const n = s.length;
  if (n === 0) return NaN;
  const upper = nth(s, n >> 1);
  if (n % 2 === 1) return upper;
  let lower = -Infinity;
  for (let i = 0; i < n >> 1; i++) if (s[i]! > lower) lower = s[i]!;
  return (lower + upper) / 2;
}

/** The upper of the two middle values; the list is put into another order. */
export const upperMedian = (values: Float32Array | Float64Array): number => nth(values, values.length >> 1);

/** The n-th smallest (from 0) of whole numbers that are told by how often each occurs; n below their sum. */
export function nthCounted(counts: ArrayLike<number>, n: number): number {
  let value = 0;
  for (let below = counts[0]!; below <= n; below += counts[value]!) value++;
  return value;
}

/** The upper of the two middle values, 0 where the list is empty; the list is not changed. */
export function medianSeen(values: ArrayLike<number>): number {
  return values.length === 0 ? 0 : upperMedian(Float64Array.from(values));
}

/** The k-th smallest value (Hoare's selection); afterwards none before it is larger and none behind it smaller. No NaN may be among them. */
export function nth(s: Float32Array | Float64Array, k: number): number {
  let low = 0;
  let high = s.length - 1;
  while (low < high) {
    const pivot = s[(low + high) >> 1]!;
    let i = low;
    let j = high;
    while (i <= j) {
      while (s[i]! < pivot) i++;
      while (s[j]! > pivot) j--;
      if (i > j) break;
      const t = s[i]!;
      s[i++] = s[j]!;
      s[j--] = t;
    }
    if (k <= j) high = j;
    else if (k >= i) low = i;
    else break;
  }
  return s[k]!;
}

/**
 * a' M b; where M is a covariance and a is b, the variance of that combination.
 *
 * @param m  Flat, row-major, `n` x `n`.
 */
export function bilinear(a: Float64Array, m: Float64Array, b: Float64Array, n = a.length): number {
  let s = 0;
  for (let i = 0; i < n; i++) {
    if (a[i] === 0) continue;
    let t = 0;
    for (let j = 0; j < n; j++) t += m[i * n + j]! * b[j]!;
    s += a[i]! * t;
  }
  return s;
}
