import { agreement } from '../../../judging/agreement.ts';
import type { Language } from '../../../text/language.ts';
import { visible } from '../../record/plain-text.ts';
import type { ReportData } from '../../record/record.ts';
import { NUMBERS } from '../numbers.ts';
import { IDENTITY_WORDS } from '../words/identity-words.ts';

/** What the die was checked against, a sentence for each instrument; none where nobody did. */
export function checkedAgainst({ checkedAgainst: checks = [] }: ReportData, language: Language): string[] {
  const n = NUMBERS[language];
  return checks.map(({ instrument, U95, date, readings }) => {
    const found = readings.map(({ axis, reading, length, u }) => ({ axis, ...agreement(length, u, reading, U95 / 2) }));
    const agreeing = found.filter(({ agrees }) => agrees).length;
    const scores = found.map(({ axis, en }) => `${visible(axis)} ${n.told(en, 2, true)}`).join(', ');
    return IDENTITY_WORDS[language].checkedAgainst(
      instrument === '' ? null : visible(instrument),
      n.short(U95),
      date === '' ? null : n.date(date),
      agreeing,
      found.length,
      scores,
    );
  });
}
