import pdfkit from 'pdfkit';

/** A filled rectangle of a page's content, mm from the page's top left, y down. */
export interface Painted {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
  /** Red, green, blue, 0 to 1. */
  readonly colour: readonly [number, number, number];
}

export interface PdfContent {
  /** Of the page, points. */
  readonly width: number;
  readonly height: number;
  /** In the order of painting. */
  readonly painted: readonly Painted[];
  /** Lines of text with their left and right ends, mm; the right one as in bold, at most some mm too far. */
  readonly lines: readonly {
    readonly text: string;
    readonly left: number;
    readonly right: number;
    readonly top: number;
  }[];
  /** The file as text, one character a byte. */
  readonly raw: string;
}

const MM = 25.4 / 72;

/** Reads back what a PDF of one page, uncompressed, with filled rectangles and Helvetica text alone, says. */
export function pdfContent(bytes: Uint8Array): PdfContent {
  const raw = Buffer.from(bytes).toString('latin1');
  const [width, height] = /\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/.exec(raw)!.slice(1).map(Number) as [number, number];
  const content = /stream\r?\n([\s\S]*?)\r?\nendstream/.exec(raw)![1]!;
  // The first matrix turns y down for the whole page; all rectangles stand under it.
  if (!content.startsWith(`1 0 0 -1 0 ${height} cm`)) throw new Error('content does not begin by turning y down');
  const painted = [
    ...content.matchAll(
      /^([-\d.]+) ([-\d.]+) ([-\d.]+) ([-\d.]+) re\n\/DeviceRGB cs\n([\d.]+) ([\d.]+) ([\d.]+) scn\nf$/gm,
    ),
  ].map((match): Painted => {
    const [x, y, w, h, ...colour] = match.slice(1).map(Number) as [
      number,
      number,
      number,
      number,
      number,
      number,
      number,
    ];
    return { x: x * MM, y: y * MM, width: w * MM, height: h * MM, colour };
  });
  if (painted.length !== content.match(/ re$/gm)!.length)
    throw new Error('a rectangle is painted in a way that is not understood');
  return { width, height, painted, lines: textLines(content, height), raw };
}

function textLines(content: string, height: number): PdfContent['lines'] {
  const ruler = new pdfkit({
    size: [100, 100],
    margin: 0,
    compress: false,
    lang: 'en',
    displayTitle: true,
    info: { Title: '', CreationDate: new Date(0) },
  });
  return [...content.matchAll(/1 0 0 1 ([\d.]+) ([\d.]+) Tm\n\/(F\d+) ([\d.]+) Tf\n\[(.*)\] TJ/g)].map((match) => {
    const [x, y, , size, shown] = match.slice(1) as [string, string, string, string, string];
    const text = [...shown.matchAll(/<([0-9a-f]+)>/g)]
      .map(([, hex]) => Buffer.from(hex!, 'hex').toString('latin1'))
      .join('');
    const length = ruler.font('Helvetica-Bold').fontSize(Number(size)).widthOfString(text);
    return {
      text,
      left: Number(x) * MM,
      right: (Number(x) + length) * MM,
      top: (height - Number(y) - Number(size)) * MM,
    };
  });
}
