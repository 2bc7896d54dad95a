/** Small dense linear algebra on flat row-major arrays (`rows x cols`). */

/** Lower Cholesky factor of a symmetric positive definite n x n matrix, or null where a pivot falls below `tolerance` of its diagonal. */
export function cholesky(a: Float64Array, n: number, tolerance = 1e-13): Float64Array | null {
  const l = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let s = a[i * n + j]!;
      for (let k = 0; k < j; k++) s -= l[i * n + k]! * l[j * n + k]!;
      if (i === j) {
        if (!(s > tolerance * Math.abs(a[i * n + i]!))) return null;
        l[i * n + i] = Math.sqrt(s);
      } else l[i * n + j] = s / l[j * n + j]!;
    }
  }
  return l;
}

/** Solves `L L' x = b` with the factor of {@link cholesky}; returns a new vector. */
export function choleskySolve(l: Float64Array, n: number, b: ArrayLike<number>): Float64Array {
  const x = Float64Array.from(b);
  for (let i = 0; i < n; i++) {
    let s = x[i]!;
    for (let k = 0; k < i; k++) s -= l[i * n + k]! * x[k]!;
    x[i] = s / l[i * n + i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    let s = x[i]!;
    for (let k = i + 1; k < n; k++) s -= l[k * n + i]! * x[k]!;
    x[i] = s / l[i * n + i]!;
  }
  return x;
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
  const s = Float64Array.from(values).sort();
  const n = s.length;
  if (n === 0) return NaN;
  return n % 2 === 1 ? s[(n - 1) / 2]! : (s[n / 2 - 1]! + s[n / 2]!) / 2;
}
