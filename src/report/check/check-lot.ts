import { acceptanceOf } from '../../lots/acceptance.ts';
import { analyseLot } from '../../lots/analysis.ts';
import { readLot } from '../../lots/read-lot.ts';
import type { FontFiles } from '../forms/letters.ts';
import { languageNamed } from '../../text/language.ts';
import { PAPERS, type Paper } from '../forms/card-pdf.ts';
import { lotHtml, lotNumber, lotPdf } from '../lot/lot-files.ts';
import { fromBase64 } from '../../formats/base64.ts';
import { fromUtf8 } from '../record/bytes.ts';
import { attachedToPdf, latin1 } from './open-report.ts';

/** What became of checking a report of a lot. */
export interface LotCheck {
  /** That of the lot file it carries; null where it carries none. */
  readonly number: string | null;
  readonly agrees: boolean;
  readonly text: string;
}

const STATED =
  /evencast-lot-report\/1 for (html|[a-z0-9]+), (\d{4}-\d\d-\d\d), plan (none|\d+\/[\d.]+\/[A-Z0-9-]+), without (none|[\d+]+)(?:, in ([a-z]{2,3}))?/;

const wrong = (text: string, number: string | null = null): LotCheck => ({ number, agrees: false, text });

/**
 * Checks a report of a lot: it is written again from the lot file that it carries and compared to the last byte, so that nothing on the page can say other than its data.
 *
 * @returns Null where the file is no report of a lot.
 */
export async function checkLotReport(bytes: Uint8Array, fonts: FontFiles): Promise<LotCheck | null> {
  const text = latin1(bytes);
  const stated = STATED.exec(text);
  if (!stated) return null;
  const [form = '', reportedOn = '', plan = '', without = '', named = 'en'] = stated.slice(1);
  const html = form === 'html';
  const language = languageNamed(named);
  if (language === undefined) return wrong('It states a language that is none of these.');
  if (!html && !Object.hasOwn(PAPERS, form)) return wrong('It states a paper that is none.');
  const json = html ? htmlData(text) : attachedToPdf(bytes);
  const data = json && fromUtf8(json);
  if (data === null) return wrong('It carries no lot file that can be read: it is damaged, or was changed.');
  const whole = parsedLot(data);
  if (whole === null) return wrong('The lot file in it is none that this version reads.');
  const number = lotNumber(whole);
  const out = without === 'none' ? [] : without.split('+').map(Number);
  const lot = { ...whole, dice: whole.dice.filter((_, i) => !out.includes(i)) };
  const analysis = analyseLot(lot);
  const [size, aql, level] = plan.split('/');
  const sampling =
    plan === 'none'
      ? null
      : acceptanceOf({ lotSize: Number(size), aql: Number(aql), level: level! }, analysis.conformity);
  if (sampling && !sampling.ok) return wrong('The sampling plan that it states is none.', number);
  const input = { whole, lot, analysis, sampling: sampling?.value ?? null, reportedOn, number, language };
  const due = html ? lotHtml(input) : await lotPdf(input, form as Paper, fonts);
  const same = due.length === bytes.length && due.every((b, i) => b === bytes[i]);
  return same
    ? { number, agrees: true, text: 'The report says what the lot file in it gives, to the last byte.' }
    : wrong(
        'The report does not say what the lot file in it gives: one of them was changed, or another version wrote it.',
        number,
      );
}

function htmlData(text: string): Uint8Array | null {
  const links = [
    ...text.matchAll(/<a download="evencast-lot\.json" href="data:application\/json;base64,([A-Za-z0-9+/=]*)"/g),
  ];
  return links.length === 1 ? fromBase64(links[0]![1]!) : null;
}

function parsedLot(text: string): Parameters<typeof lotNumber>[0] | null {
  try {
    const lot = readLot(JSON.parse(text));
    return lot.ok ? lot.value : null;
  } catch {
    return null;
  }
}
