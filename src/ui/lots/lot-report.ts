import type { Acceptance } from '../../lots/acceptance.ts';
import type { LotAnalysis } from '../../lots/analysis.ts';
import type { Lot } from '../../lots/lot.ts';
import { lotCsv, lotHtml, lotNumber, lotPdf } from '../../report/lot/lot-files.ts';
import type { Language } from '../../text/language.ts';
import { reportFonts } from '../kit/report-fonts.ts';

/**
 * A report of a lot with the name of its file, dated today. Rejects where fonts do not arrive.
 *
 * @param whole  With the dice that were left out: it is attached, and gives the number.
 */
export async function lotReport(
  form: 'html' | 'pdf' | 'csv',
  whole: Lot,
  lot: Lot,
  analysis: LotAnalysis,
  sampling: Acceptance | null,
  language: Language,
): Promise<{ readonly name: string; readonly bytes: BlobPart }> {
  const number = lotNumber(whole);
  const now = new Date();
  const pad = (n: number): string => String(n).padStart(2, '0');
  const reportedOn = `${now.getFullYear()}-${pad(now.getMonth() + 1)}-${pad(now.getDate())}`;
  const input = { whole, lot, analysis, sampling, reportedOn, number, language };
  const bytes =
    form === 'csv'
      ? lotCsv(lot, analysis)
      : form === 'html'
        ? lotHtml(input)
        : await lotPdf(input, 'a4', await reportFonts());
  return { name: `evencast-lot-${number}.${form}`, bytes: bytes as BlobPart };
}
