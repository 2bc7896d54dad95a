import { BANK_CARD } from '../../bank-card/size.ts';
import { CARD, CARD_MARKERS, isBlack } from '../../geometry/card.ts';
import { mm, type Mm } from '../../units.ts';
import type { Rgb, Sheet } from './pdf.ts';
import { diceFor, STAGE_COLOURS, type Stage } from './stages.ts';

/** Sizes of paper, upright. Sources: ISO 216:2007 (A4), ANSI/ASME Y14.1 size A (letter, 8.5 x 11 inch). */
export const PAPERS = {
  a4: { width: mm(210), height: mm(297) },
  letter: { width: mm(215.9), height: mm(279.4) },
} as const satisfies Record<string, { width: Mm; height: Mm }>;
export type Paper = keyof typeof PAPERS;

/** What is printed where nothing is said. */
export const CARD_DEFAULTS = { paper: 'a4', stage: 'white' } as const satisfies { paper: Paper; stage: Stage };

/** Nothing is drawn nearer to the paper's border, mm; common printers reach to 3 to 6.5 mm. */
export const PRINT_MARGIN = mm(15);

/** Left end of the lines of text, mm. */
const TEXT_LEFT = mm(20);

const BLACK: Rgb = [0, 0, 0];
const WHITE: Rgb = [255, 255, 255];

/** Lines of the check bars: their thickness and the length of the ticks at their ends, mm. */
const BAR = { thickness: 0.2, tick: 5 } as const;

/** How to print, in three lines. */
export const PRINT_INSTRUCTIONS = [
  '1.  Print at 100 % ("actual size", not "fit to page") on matt paper; lay it flat, a bowed card costs accuracy.',
  '2.  Measure both bars from tick to tick, to 0.1 mm or better, and write down:   X _________ mm   Y _________ mm',
  '3.  Enter both lengths when you measure. 0.1 mm misread makes every axis of a 20 mm die wrong by 0.02 mm.',
] as const;

/**
 * The scale card as a PDF of one page at exact size.
 *
 * Bar X runs along the card's long side, bar Y along its short side; both are `CARD.checkBar` long from the middle of one tick to the
 * middle of the other, so that ink that spreads does not lengthen them. All numbers in the page's content are points.
 *
 * @returns The file's bytes; the same for the same paper and stage.
 */
export async function cardPdf(
  paper: Paper = CARD_DEFAULTS.paper,
  stage: Stage = CARD_DEFAULTS.stage,
): Promise<Uint8Array> {
  // The PDF writer is large: the page fetches it when a card is asked for.
  const { onePage } = await import('./pdf.ts');
  const page = PAPERS[paper];
  const title = `Evencast card ${CARD.name}, ${paper === 'a4' ? 'A4' : 'letter'}, ${stage} stage`;
  return onePage({ ...page, title }, (sheet) => {
    const gap = 8;
    const left = (page.width - CARD.width - gap - BAR.tick) / 2;
    const top = 40;
    const middle = left + CARD.width / 2;
    const beyond = CARD.quietMargin + gap;
    sheet.line(title, TEXT_LEFT, 18, { size: 12, bold: true });
    sheet.line(`For dice that are: ${diceFor(stage)}.`, TEXT_LEFT, 24, { size: 9 });
    drawRing(sheet, left, top, stage);
    sheet.line('This side towards you', middle, top + CARD.height + CARD.quietMargin + 1, { size: 8, centred: true });
    const below = top + CARD.height + beyond + BAR.tick;
    drawBarX(sheet, middle - CARD.checkBar / 2, below);
    drawBarY(sheet, left + CARD.width + beyond, top + (CARD.height - CARD.checkBar) / 2);
    PRINT_INSTRUCTIONS.forEach((text, i) => {
      sheet.line(text, TEXT_LEFT, below + 14 + 7 * i, { size: 9 });
    });
    drawBankCard(sheet, middle - BANK_CARD.width / 2, below + 40);
  });
}

function drawRing(sheet: Sheet, left: number, top: number, stage: Stage): void {
  const q = CARD.square;
  for (let row = 0; row < CARD.rows; row++)
    for (let column = 0; column < CARD.columns; column++)
      if (onRing(column, row) && isBlack(column, row)) sheet.rectangle(left + column * q, top + row * q, q, q, BLACK);
  if (stage !== 'white') {
    const [width, height] = [CARD.stageWidth, CARD.stageHeight];
    sheet.rectangle(
      left + (CARD.width - width) / 2,
      top + (CARD.height - height) / 2,
      width,
      height,
      STAGE_COLOURS[stage],
    );
  }
  // The card frame has its origin at the stage's centre and y up.
  for (const { bits, corners } of CARD_MARKERS)
    drawMarker(sheet, left + CARD.width / 2 + corners[0]!, top + CARD.height / 2 - corners[1]!, bits);
}

const onRing = (column: number, row: number): boolean => {
  const x = Math.abs((column + 0.5) * CARD.square - CARD.width / 2);
  const y = Math.abs((row + 0.5) * CARD.square - CARD.height / 2);
  return x > CARD.stageWidth / 2 || y > CARD.stageHeight / 2;
};

/**
 * A black square with its white modules, as runs along rows and again along columns: two runs share each joint between modules, so
 * that no viewer's smoothing leaves a grey seam there.
 */
function drawMarker(sheet: Sheet, left: number, top: number, bits: number): void {
  const module = CARD.marker / 6;
  const white = (column: number, row: number): boolean => ((bits >> (15 - 4 * row - column)) & 1) === 1;
  sheet.rectangle(left, top, CARD.marker, CARD.marker, BLACK);
  for (let line = 0; line < 4; line++)
    for (let from = 0; from < 4; from++) {
      const across = run((i) => white(i, line), from) * module;
      const down = run((i) => white(line, i), from) * module;
      if (across > 0) sheet.rectangle(left + (from + 1) * module, top + (line + 1) * module, across, module, WHITE);
      if (down > 0) sheet.rectangle(left + (line + 1) * module, top + (from + 1) * module, module, down, WHITE);
    }
}

/** Length of the run of set modules that begins at `from`; 0 where none begins there. */
function run(set: (i: number) => boolean, from: number): number {
  if (!set(from) || (from > 0 && set(from - 1))) return 0;
  let end = from;
  while (end < 4 && set(end)) end++;
  return end - from;
}

function drawBarX(sheet: Sheet, x: number, y: number): void {
  const { thickness: t, tick } = BAR;
  sheet.rectangle(x, y - t / 2, CARD.checkBar, t, BLACK);
  for (const end of [x, x + CARD.checkBar]) sheet.rectangle(end - t / 2, y - tick / 2, t, tick, BLACK);
  sheet.line(`X: ${CARD.checkBar} mm`, x + CARD.checkBar / 2, y + 1.2, { size: 8, centred: true });
}

function drawBarY(sheet: Sheet, x: number, y: number): void {
  const { thickness: t, tick } = BAR;
  sheet.rectangle(x - t / 2, y, t, CARD.checkBar, BLACK);
  for (const end of [y, y + CARD.checkBar]) sheet.rectangle(x - tick / 2, end - t / 2, tick, t, BLACK);
  sheet.line(`Y: ${CARD.checkBar} mm`, x + 1.5, y + CARD.checkBar / 2, { size: 8 });
}

/** A frame that a bank card just fills: its lines stand outside. */
function drawBankCard(sheet: Sheet, x: number, y: number): void {
  const { width, height } = BANK_CARD;
  const t = BAR.thickness;
  for (const line of [y - t, y + height]) sheet.rectangle(x - t, line, width + 2 * t, t, BLACK);
  for (const line of [x - t, x + width]) sheet.rectangle(line, y - t, t, height + 2 * t, BLACK);
  const middle = x + width / 2;
  sheet.line('A bank card fills this frame.', middle, y + height / 2 - 5, { size: 8, centred: true });
  sheet.line('It shows a wrong print size at once; measure the bars all the same.', middle, y + height / 2, {
    size: 7,
    centred: true,
  });
}
