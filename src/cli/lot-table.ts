import type { Acceptance } from '../lots/acceptance.ts';
import type { LotAnalysis } from '../lots/analysis.ts';
import { findings } from '../lots/findings.ts';
import { FAMILIES, type Lot } from '../lots/lot.ts';
import { keyWords, LOT_WORDS, PLAIN_NUMBERS as n } from '../lots/lot-words.ts';

const words = LOT_WORDS.en;
const um = (x: number): string => (1000 * x).toFixed(1);
const key = (k: string): string => keyWords(k, words);

/** A lot for reading in a terminal. */
export function lotTable(lot: Lot, a: LotAnalysis, sampling: Acceptance | null): string {
  return [
    `${lot.name || 'Lot'}: ${lot.dice.length} dice, ${lot.kind}`,
    '',
    ...summaryLines(a),
    ...componentLines(a),
    ...samplingLines(sampling),
    '',
    ...findings(lot, a).map((f) => words.finding(f, n, key, lot.timeUnit)),
    '',
    words.caution,
    '',
  ].join('\n');
}

function summaryLines(a: LotAnalysis): string[] {
  const line = (cells: readonly string[]): string =>
    cells.map((c, i) => (i === 0 ? c.padEnd(20) : c.padStart([10, 10, 9, 9, 8, 8, 22][i - 1] ?? 10))).join('');
  return [
    line(['', 'mean mm', 'U95 um', 's um', 'without', 'trend', 'Ppk', '95 %']),
    ...a.summaries
      .filter((s) => s.family === 'die' || s.family === 'axes')
      .map((s) => {
        const ppk = s.capability?.ppk;
        return line([
          key(s.key),
          s.mean.value.toFixed(4),
          um((s.mean.high - s.mean.low) / 2),
          s.spread ? um(s.spread.value) : '',
          s.spreadWithout === null ? '' : um(s.spreadWithout),
          s.trend ? s.trend.tau.toFixed(2) + (s.trend.pAll < 0.05 ? '*' : ' ') : '',
          ppk ? ppk.value.toFixed(2) : '',
          ppk ? words.range(ppk.low.toFixed(2), ppk.high.toFixed(2)) : '',
        ]);
      }),
    "U95 of the mean holds what the measurement adds to every die. s: standard deviation; without: without the measurement's own.",
    "trend: Kendall's tau along the order, * where p is under 0.05 over all quantities.",
    '',
  ];
}

function componentLines(a: LotAnalysis): string[] {
  return FAMILIES.flatMap((family) => {
    const found = a.components[family];
    if (!found) return [];
    return [
      `where the variance of the ${words.families[family]} comes from`.padEnd(52) + 's um    95 %            share',
      ...found.components.map(({ source, variance, share }) => {
        const [value, low, high] = [variance.value, variance.low, variance.high].map((v) => um(Math.sqrt(v)));
        const interval = source === 'measurement' ? 'as stated' : words.range(low!, high!);
        return `  ${words.sources[source].padEnd(48)}${value!.padStart(6)}    ${interval.padEnd(16)}${n.percent(share).padStart(5)}`;
      }),
      '',
    ];
  });
}

function samplingLines(s: Acceptance | null): string[] {
  if (!s) return [];
  const { plan, choice } = s;
  return [
    `ISO 2859-1, single, normal, level ${choice.level}, AQL ${choice.aql}, ${choice.lotSize} dice: letter ${plan.letter}${plan.usedLetter === plan.letter ? '' : ` (plan of ${plan.usedLetter})`}, inspect ${plan.sample}${plan.wholeLot ? ' (all)' : ''}, accept with ${plan.accept}, reject with ${plan.reject}`,
    `accepted 95 times in 100 with ${(100 * s.producer).toFixed(2)} % outside, 10 times in 100 with ${(100 * s.buyer).toFixed(2)} %`,
    `${words.lotVerdicts[s.verdict]} (${s.inspected} inspected, ${s.outside} outside, ${s.undecided} undecided)`,
  ];
}
