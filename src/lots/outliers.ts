import { tQuantile } from '../maths/distributions.ts';
import { deviation, mean } from './moments.ts';

/** A value that is tried as an outlier. */
export interface Suspect {
  /** Place in the list. */
  readonly index: number;
  /** Distance from the mean in standard deviations, those taken out before left aside. */
  readonly statistic: number;
  readonly critical: number;
  readonly outlier: boolean;
}

/** Below this many values one outlier at most is tried: the approximation of the critical values is poor (Rosner 1983: 25, usable from 15). */
export const MANY = 15;
/** Share of the values that may be outliers. */
export const MOST = 0.1;

/**
 * Generalised extreme studentised deviate test (Rosner 1983; NIST/SEMATECH e-Handbook 1.3.5.17.3); with one suspect it is Grubbs'
 * two-sided test (e-Handbook 1.3.5.17.1). Presumes normal values. Fewer than 3 values or no spread: no suspects.
 *
 * @param most  Suspects to try.
 * @param alpha  Chance to name any where there is none.
 */
export function extremeDeviates(x: readonly number[], most: number, alpha: number): readonly Suspect[] {
  const left = x.map((value, index) => ({ value, index }));
  const tried: Omit<Suspect, 'outlier'>[] = [];
  for (let i = 1; i <= most && left.length >= 3; i++) {
    const values = left.map((v) => v.value);
    const [m, s] = [mean(values), deviation(values)];
    if (!(s > 0)) break;
    const n = left.length;
    const far = left.reduce((p, q) => (Math.abs(q.value - m) > Math.abs(p.value - m) ? q : p));
    const t = tQuantile(1 - alpha / (2 * n), n - 2);
    const critical = ((n - 1) * t) / Math.sqrt((n - 2 + t * t) * n);
    tried.push({ index: far.index, statistic: Math.abs(far.value - m) / s, critical });
    left.splice(left.indexOf(far), 1);
  }
  // The last that passes its critical value makes outliers of all before it: one may hide another.
  const count = Math.max(0, ...tried.map((s, i) => (s.statistic > s.critical ? i + 1 : 0)));
  return tried.map((s, i) => ({ ...s, outlier: i < count }));
}

/** How many suspects are tried in a lot of so many dice. */
export const suspectsIn = (n: number): number => (n < 5 ? 0 : n < MANY ? 1 : Math.max(1, Math.floor(MOST * n)));
