// Whoever imports this file must find the declarations too, in each of the three type checks.
// eslint-disable-next-line @typescript-eslint/triple-slash-reference
/// <reference path="./pdfkit.d.ts" />
import * as pdfkit from 'pdfkit';
import { toBytes } from 'pdfkit/output';
import Helvetica from 'pdfkit/standard-fonts/Helvetica';
import HelveticaBold from 'pdfkit/standard-fonts/HelveticaBold';
import type { Mm } from '../../units.ts';

/** Points per millimetre: a point is 1/72 inch (ISO 32000-1:2008, 8.3.2.3), an inch 25.4 mm. */
export const POINTS_PER_MM = 72 / 25.4;

/** Red, green, blue, 0 to 255 each. */
export type Rgb = readonly [number, number, number];

export interface LineStyle {
  readonly size: number;
  readonly bold?: boolean;
  readonly centred?: boolean;
}

/** One sheet to draw on: mm from the top left, y down. */
export interface Sheet {
  rectangle(x: number, y: number, width: number, height: number, colour: Rgb): void;
  /**
   * One line of text in Latin-1.
   *
   * @param x     Its left end, or its middle where `centred`.
   * @param y     Its top.
   * @param size  Of the font, points.
   */
  line(text: string, x: number, y: number, style: LineStyle): void;
}

// Node's build knows the metrics by itself; the browser's has to be told.
const { registerStdFonts } = pdfkit as { registerStdFonts?: (...metrics: readonly object[]) => void };
registerStdFonts?.(Helvetica, HelveticaBold);

/**
 * Bytes of a PDF of one page at exact size, drawn by `draw`.
 *
 * Same drawing, same bytes, in Node and in the browser: nothing is compressed (deflate's output is not the same everywhere) and no date
 * is written. Viewers are asked to print it at its own size.
 */
export async function onePage(
  page: { readonly width: Mm; readonly height: Mm; readonly title: string },
  draw: (sheet: Sheet) => void,
): Promise<Uint8Array> {
  const document = new pdfkit.default({
    size: [page.width * POINTS_PER_MM, page.height * POINTS_PER_MM],
    margin: 0,
    compress: false,
    lang: 'en-GB',
    displayTitle: true,
    // The file's identifier is made from this date, which would else be the clock's.
    info: { Title: page.title, CreationDate: new Date(0) },
  });
  // What is not enumerable is not written.
  Object.defineProperty(document.info, 'CreationDate', { enumerable: false });
  document._root.data.ViewerPreferences.data['PrintScaling'] = 'None';
  const bytes = toBytes(document);
  draw(sheetOn(document));
  document.end();
  return Uint8Array.from(await bytes);
}

function sheetOn(document: pdfkit.default): Sheet {
  const k = POINTS_PER_MM;
  return {
    rectangle(x, y, width, height, colour) {
      document
        .rect(x * k, y * k, width * k, height * k)
        .fillColor(colour)
        .fill();
    },
    line(text, x, y, { size, bold = false, centred = false }) {
      document
        .font(bold ? 'Helvetica-Bold' : 'Helvetica')
        .fontSize(size)
        .fillColor([0, 0, 0]);
      const left = x * k - (centred ? document.widthOfString(text) / 2 : 0);
      document.text(text, left, y * k, { lineBreak: false });
    },
  };
}
