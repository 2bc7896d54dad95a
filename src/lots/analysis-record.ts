import type { Acceptance } from './acceptance.ts';
import type { LotAnalysis } from './analysis.ts';
import { findings } from './findings.ts';
import { leftOut, type Lot } from './lot.ts';
import { keyWords, LOT_WORDS, PLAIN_NUMBERS } from './lot-words.ts';

/** Ten digits: what follows differs from one engine's logarithm to the other's. */
export const shortened = (x: number): number => Number(x.toPrecision(10));

/**
 * All numbers of a lot as JSON text, "evencast-lot-analysis/1": lengths mm, variances mm^2, findings also in words. An interval that is
 * open ends in null; `leftOut` names dice of the whole lot that do not count, save for sampling. The dice's own lengths stand in the lot file.
 */
export function analysisText(whole: Lot, lot: Lot, analysis: LotAnalysis, sampling: Acceptance | null): string {
  const words = LOT_WORDS.en;
  const key = (k: string): string => keyWords(k, words);
  const { dice, ...about } = lot;
  const record = {
    format: 'evencast-lot-analysis/1',
    lot: { ...about, dice: dice.map(({ label, cavity, time, card }) => ({ label, cavity, time, card })) },
    leftOut: leftOut(whole, lot),
    findings: findings(lot, analysis).map((f) => ({ ...f, text: words.finding(f, PLAIN_NUMBERS, key, lot.timeUnit) })),
    ...analysis,
    sampling,
  };
  return `${JSON.stringify(record, (_, value: unknown) => (typeof value === 'number' ? shortened(value) : value), 1)}\n`;
}
