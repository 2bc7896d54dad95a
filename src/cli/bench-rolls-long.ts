import { MODEL_DOUBT } from '../bias/meaning/prediction.ts';
import { bars } from './bench-bars.ts';
import { even, flaws, peer, slopes } from './bench-physics.ts';
import { kernel, REPORT_DICE, reports, worlds } from './bench-kernel.ts';
import { logs } from './bench-logs.ts';
import { say, type Verdict } from './bench-verdict.ts';
import { throwPool } from './throw-pool.ts';

/** The checks of the model with as many throws as it takes; a share of them runs in every `npm test`. */
export const LONG_PARTS = ['even', 'slopes', 'flaws', 'bars', 'peer', 'kernel', 'worlds', 'reports', 'logs'] as const;
export type LongPart = (typeof LONG_PARTS)[number];

/**
 * Runs the parts, `scale` times their usual number of throws, and lists every bar with what was reached.
 *
 * @param dice  Of each kind, for the part `reports`.
 * @returns Whether all were met.
 */
export async function runLong(parts: readonly LongPart[], scale: number, dice = REPORT_DICE): Promise<boolean> {
  const pool = throwPool();
  const verdicts: Verdict[] = [];
  const throws = (n: number): number => Math.max(2000, Math.round(n * scale));
  const run: Readonly<Record<LongPart, () => Promise<Verdict[]> | Verdict[]>> = {
    even: () => even(pool, throws(2_000_000)),
    slopes: () => slopes(pool, throws(1_000_000)),
    flaws: () => flaws(throws(400_000)),
    bars: () => bars(throws(100_000), MODEL_DOUBT.faces),
    peer: () => peer(throws(4000), MODEL_DOUBT.faces),
    kernel: () => kernel(pool, throws(200_000)),
    worlds: () => worlds(throws(60_000)),
    reports: () => reports(throws(200_000), dice),
    logs: () => logs(throws(2000), 1000),
  };
  try {
    for (const part of parts) {
      say(`== ${part}`);
      verdicts.push(...(await run[part]()));
    }
  } finally {
    await pool.close();
  }
  say('== bars');
  for (const { bar, met } of verdicts) say(`${met ? 'met   ' : 'MISSED'} ${bar}`);
  return verdicts.every(({ met }) => met);
}
