import { chiSquareSurvival } from '../../maths/distributions.ts';
import { pearson } from './count-tests.ts';
import { orderTests } from './order-tests.ts';
import type { RollLog } from './roll-log.ts';

/** A sign that a log holds the rolls of two dice, or of one that changed on the way. */
export type MixSign =
  /** The rolls of a smaller die among them: its numbers come up too often, all alike, the others too seldom. */
  | { readonly code: 'smaller-die'; readonly faces: number; readonly share: number; readonly p: number }
  /** One number's share changes along the log, most about after roll `at`. */
  | { readonly code: 'change'; readonly name: string; readonly at: number; readonly p: number }
  /** Every other roll comes from another die. */
  | { readonly code: 'alternate'; readonly p: number };

/** p below which a sign is shown: a log without fault shows one in 300 times. */
export const MIX_ALPHA = 0.001;
const SMALLER = [4, 6, 8, 10, 12] as const;

/** What speaks for two dice in one log. Counts alone show a smaller die only. */
export function mixSigns(log: RollLog): MixSign[] {
  const out: MixSign[] = [];
  const smaller = smallerDie(log);
  if (smaller) out.push(smaller);
  if (!log.sequence) return out;
  const { drift, alternate } = orderTests(log.sequence, log.names.length);
  if (drift && drift.p < MIX_ALPHA) out.push({ code: 'change', name: log.names[drift.face], at: drift.at, p: drift.p });
  if (alternate && alternate.p < MIX_ALPHA) out.push({ code: 'alternate', p: alternate.p });
  return out;
}

/** Likelihood of some rolls of a fair die with fewer faces among those of a fair die, against none, where that explains what is uneven. */
function smallerDie({ counts, rolls, names }: RollLog): MixSign | null {
  const k = counts.length;
  if (names[0] !== '1') return null;
  const all = pearson(
    counts,
    Array.from(counts, () => rolls / k),
  );
  let best: MixSign | null = null;
  for (const m of SMALLER) {
    if (m >= k || rolls < 5 * k) continue;
    const low = counts.slice(0, m).reduce((s, c) => s + c, 0);
    // Share s of the smaller die: its numbers together come up s + (1 - s) m / k of the time.
    const share = (low / rolls - m / k) / (1 - m / k);
    if (share <= 0.02) continue;
    const expected = Array.from(counts, (_, i) => rolls * ((1 - share) / k + (i < m ? share / m : 0)));
    const left = expected.every((e) => e > 0) ? pearson(counts, expected, 1) : null;
    if (!left) continue;
    const p = chiSquareSurvival(all.statistic - left.statistic, 1) * SMALLER.length;
    // It must explain: what is left looks like chance.
    if (p < MIX_ALPHA && left.p > 0.01 && (!best || p < best.p)) best = { code: 'smaller-die', faces: m, share, p };
  }
  return best;
}
