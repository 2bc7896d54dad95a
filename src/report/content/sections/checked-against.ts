import { agreement } from '../../../judging/agreement.ts';
import { visible } from '../../record/plain-text.ts';
import type { ReportData } from '../../record/record.ts';
import { told } from '../../../figures/scale.ts';

/** What the die was checked against, a sentence for each instrument; none where nobody did. */
export function checkedAgainst({ checkedAgainst: checks = [] }: ReportData): string[] {
  return checks.map(({ instrument, U95, date, readings }) => {
    const found = readings.map(({ axis, reading, length, u }) => ({ axis, ...agreement(length, u, reading, U95 / 2) }));
    const agreeing = found.filter(({ agrees }) => agrees).length;
    const scores = found.map(({ axis, en }) => `${visible(axis)} ${told(en, 2, true)}`);
    return `Checked against ${instrument === '' ? 'an instrument that was not stated' : visible(instrument)} (U95 ${U95} mm)${date === '' ? '' : ` on ${date}`}: ${agreeing} of ${found.length} axes agree within their doubts (E_n as in ISO/IEC 17043, at most 1 in size: ${scores.join(', ')}).`;
  });
}
