import { normalSurvival } from '../maths/distributions.ts';

/** Whether values rise or fall along their order, whatever the shape of the rise. */
export interface MannKendall {
  /** Pairs that rise less pairs that fall. */
  readonly s: number;
  /** s over the most it could be: 1 rises throughout, -1 falls throughout. */
  readonly tau: number;
  /** Two-sided. */
  readonly p: number;
  /** p counted out, or by the normal distribution with ties corrected and a step of continuity. */
  readonly exact: boolean;
}

/** Up to this many values without ties the chance is counted out. */
const COUNTED = 30;

/** Mann (1945) and Kendall (1975): no trend against a rise or a fall. Null with fewer than 4 values or all alike. */
export function mannKendall(x: readonly number[]): MannKendall | null {
  const n = x.length;
  if (n < 4) return null;
  const groups = new Map<number, number>();
  for (const v of x) groups.set(v, (groups.get(v) ?? 0) + 1);
  const ties = [...groups.values()].filter((t) => t > 1);
  const pairs = (n * (n - 1)) / 2 - ties.reduce((sum, t) => sum + (t * (t - 1)) / 2, 0);
  const s = pairs - 2 * falls(x);
  const variance = (n * (n - 1) * (2 * n + 5) - ties.reduce((sum, t) => sum + t * (t - 1) * (2 * t + 5), 0)) / 18;
  if (!(variance > 0)) return null;
  const exact = n <= COUNTED && ties.length === 0;
  const z = (Math.abs(s) - 1) / Math.sqrt(variance);
  const p = exact ? countedChance(Math.abs(s), n) : s === 0 ? 1 : 2 * normalSurvival(z);
  return { s, tau: (2 * s) / (n * (n - 1)), p: Math.min(1, p), exact };
}

/** Pairs of which the later is the smaller, counted while merging. */
function falls(x: readonly number[]): number {
  let count = 0;
  const sorted = (part: readonly number[]): readonly number[] => {
    if (part.length < 2) return part;
    const half = part.length >> 1;
    const [a, b] = [sorted(part.slice(0, half)), sorted(part.slice(half))];
    const out: number[] = [];
    let i = 0;
    for (const v of b) {
      while (i < a.length && a[i]! <= v) out.push(a[i++]!);
      count += a.length - i;
      out.push(v);
    }
    return [...out, ...a.slice(i)];
  };
  sorted(x);
  return count;
}

/** 2 P(S >= s) over all orders of n values: inversions counted by the recursion of Mann (1945). */
function countedChance(s: number, n: number): number {
  if (s === 0) return 1;
  const most = (n * (n - 1)) / 2;
  let chance = new Float64Array(most + 1);
  chance[0] = 1;
  for (let k = 2; k <= n; k++) {
    const next = new Float64Array(most + 1);
    for (let i = 0; i <= (k * (k - 1)) / 2; i++)
      for (let j = Math.max(0, i - k + 1); j <= i; j++) next[i]! += chance[j]! / k;
    chance = next;
  }
  // S = most - 2 inversions.
  return 2 * chance.subarray(0, Math.floor((most - s) / 2) + 1).reduce((sum, c) => sum + c, 0);
}
