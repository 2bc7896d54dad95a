import type { Reader } from '../content/blocks.ts';
import { PAPERS, type Paper } from './card-pdf.ts';
import { reportContent, type Lean } from '../content/content.ts';
import { INK } from '../../figures/drawing.ts';
import { lettersOf, type FontFiles, type Letters } from './letters.ts';
import { PdfCanvas } from './pdf-canvas.ts';
import { Flow, MARGIN } from './pdf-flow.ts';
import { statedForm } from './stated.ts';
import { REPORT_WORDS } from '../content/words/report-words.ts';
import type { Language } from '../../text/language.ts';
import { ATTACHMENT_NAME, recordBytes, type ReportRecord } from '../record/record.ts';

const POINTS_PER_MM = 72 / 25.4;
/** Pages that a reader is promised; the laboratory's report is as long as it is. */
const PAGES: Readonly<Record<Reader, number>> = { buyer: 1, seller: 2, lab: Infinity };
/** Sizes tried in turn until the pages suffice; the last ones leave out what only illustrates. */
interface Try {
  readonly scale: number;
  readonly lean: Lean;
}
const tries = (lean: Lean, ...scales: readonly number[]): Try[] => scales.map((scale) => ({ scale, lean }));
const TRIES: readonly Try[] = [
  ...tries(0, 1, 0.95, 0.9, 0.85, 0.8),
  ...tries(1, 0.95, 0.9, 0.85, 0.8),
  ...tries(2, 0.9, 0.85, 0.8, 0.75, 0.7),
];
/** A last page that is filled less than this share is won back where letters a little smaller do without it. */
const SCANT = 0.25;
const SMALLER: readonly Try[] = tries(0, 0.98, 0.96, 0.94);

/**
 * A report as PDF/A-3a: selectable text in embedded fonts, tagged, its data attached. Same record, same bytes, in Node and in the browser.
 *
 * Rejects only where the fonts are none.
 */
export async function pdfReport(
  record: ReportRecord,
  reader: Reader,
  paper: Paper,
  fonts: FontFiles,
  language: Language = 'en',
): Promise<Uint8Array> {
  const letters = lettersOf(fonts);
  const won = (pages: number): Drawn | undefined => {
    for (const how of SMALLER) {
      const again = drawn(record, reader, paper, letters, language, how);
      if (again.pages < pages) return again;
    }
    return undefined;
  };
  for (const how of TRIES) {
    const first = drawn(record, reader, paper, letters, language, how);
    if (first.pages > PAGES[reader] && how !== TRIES.at(-1)) continue;
    const { canvas } = (PAGES[reader] === Infinity && first.last < SCANT && won(first.pages)) || first;
    canvas.attach({
      name: ATTACHMENT_NAME,
      description: REPORT_WORDS[language].file.attached,
      mime: 'application/json',
      bytes: recordBytes(record),
    });
    return await canvas.bytes();
  }
  throw new Error('nothing was tried');
}

interface Drawn {
  readonly canvas: PdfCanvas;
  readonly pages: number;
  /** Share of the last page's height down to which something stands. */
  readonly last: number;
}

function drawn(
  record: ReportRecord,
  reader: Reader,
  paper: Paper,
  letters: Letters,
  language: Language,
  { scale, lean }: Try,
): Drawn {
  const words = REPORT_WORDS[language].file;
  const content = reportContent(record, reader, language, lean);
  const size = [PAPERS[paper].width * POINTS_PER_MM, PAPERS[paper].height * POINTS_PER_MM] as const;
  const canvas = new PdfCanvas(
    {
      // Nothing that was typed: a title stands in places where markup would count.
      title: words.title(record.number),
      subject: statedForm(reader, paper, language),
      size,
      date: record.data.about.reportedOn,
      language,
    },
    letters,
  );
  const flow = new Flow(canvas, letters, size, scale);
  flow.place(content.blocks);
  const last = flow.y / size[1];
  for (let n = 0; n < canvas.pages; n++) {
    canvas.onPage(n);
    canvas.artifact(() => {
      const y = size[1] - MARGIN.bottom + 20;
      const text = (t: string): ReturnType<Letters['lines']>[number] => letters.lines(t, false, Infinity)[0]!;
      const page = words.page(n + 1, canvas.pages);
      canvas.path(`M${MARGIN.side} ${y - 10}L${size[0] - MARGIN.side} ${y - 10}`, INK.grey, 0.4, [], null);
      canvas.line(text(content.foot), MARGIN.side, y, 7, false, INK.grey);
      canvas.line(text(page), size[0] - MARGIN.side - 7 * letters.width(page, false), y, 7, false, INK.grey);
    }, 'Pagination');
  }
  return { canvas, pages: canvas.pages, last };
}
