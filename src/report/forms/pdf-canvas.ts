// Whoever imports this file must find the declarations too, in each of the three type checks.
// eslint-disable-next-line @typescript-eslint/triple-slash-reference
/// <reference path="./pdfkit.d.ts" />
import { zlibSync } from 'fflate';
import * as pdfkit from 'pdfkit';
import { toBytes } from 'pdfkit/output';
import type { Letters, Word } from './letters.ts';
import { visualOrder } from './letters.ts';
import { INK, type Drawing, type PictureMark } from '../../figures/drawing.ts';
import { fromBase64 } from '../../formats/base64.ts';
import { LOCALES, type Language } from '../../text/language.ts';

/** A node of the document's structure, which readers aloud follow. */
export type Node = pdfkit.StructureNode;
type Document = pdfkit.default;
type Reference = pdfkit.Reference;

export interface PdfMeta {
  readonly title: string;
  readonly subject: string;
  /** Points. */
  readonly size: readonly [number, number];
  /** YYYY-MM-DD; written as the file's date. */
  readonly date: string;
  readonly language: Language;
}

export interface Attachment {
  readonly name: string;
  readonly description: string;
  readonly mime: string;
  readonly bytes: Uint8Array;
}

/** Level of compression: what is the same in Node and in the browser is the library, not the host's own. */
const LEVEL = 6;

/** Pages to draw on, in points from the top left, with the structure that PDF/A-3a and readers aloud ask for. */
export class PdfCanvas {
  readonly #document: Document;
  readonly #bytes: Promise<Uint8Array>;
  readonly #letters: Letters;
  readonly #pictures = new Map<string, { readonly name: string; readonly ref: Reference }>();
  readonly root: Node;
  pages = 0;

  constructor(meta: PdfMeta, letters: Letters) {
    const given = new Date(`${meta.date}T00:00:00Z`);
    this.#document = new pdfkit.default({
      size: meta.size,
      // None to begin with: the browser's build of the library has no standard fonts.
      font: '',
      margin: 0,
      // Done here instead, see LEVEL.
      compress: false,
      pdfVersion: '1.7',
      subset: 'PDF/A-3a',
      tagged: true,
      lang: LOCALES[meta.language],
      displayTitle: true,
      autoFirstPage: false,
      bufferPages: true,
      info: {
        Title: meta.title,
        Subject: meta.subject,
        Producer: 'Evencast',
        Creator: 'Evencast',
        CreationDate: Number.isNaN(given.getTime()) ? new Date(0) : given,
      },
    });
    this.#letters = letters;
    compressing(this.#document);
    this.#bytes = toBytes(this.#document);
    this.#document.registerFont('regular', letters.fonts.regular).registerFont('bold', letters.fonts.bold);
    this.root = this.#document.struct('Document');
    this.#document.addStructure(this.root);
  }

  newPage(): void {
    this.#document.addPage();
    this.pages++;
  }

  /** A part of the structure: `P`, `H1`, `Table`, `TR`... */
  node(tag: string, parent: Node, options: object = {}): Node {
    const made = this.#document.struct(tag, options);
    parent.add(made);
    return made;
  }

  /** What `draw` draws belongs to `node`. */
  content(node: Node, tag: string, draw: () => void): void {
    const content = this.#document.markStructureContent(tag);
    draw();
    this.#document.endMarkedContent();
    node.add(content);
  }

  /** What `draw` draws is decoration or a page's foot. */
  artifact(draw: () => void, type: 'Layout' | 'Pagination' = 'Layout'): void {
    this.#document.markContent('Artifact', { type });
    draw();
    this.#document.endMarkedContent();
  }

  /** One line of words; `y` is the baseline. */
  line(words: readonly Word[], x: number, y: number, size: number, bold: boolean, colour: string = INK.black): void {
    const document = this.#document;
    const space = this.#letters.width(' ', bold) * size;
    document
      .font(bold ? 'bold' : 'regular')
      .fontSize(size)
      .fillColor(colour);
    let left = x;
    let held = '';
    let from = x;
    const flush = (): void => {
      if (held !== '') document.text(held, from, y, { lineBreak: false, baseline: 'alphabetic' });
      held = '';
    };
    const ordered = visualOrder(words);
    for (const [i, word] of ordered.entries()) {
      const plain = !word.rtl && word.stretches.length === 1 && word.stretches[0]!.actual === null;
      if (!plain) flush();
      if (plain) {
        if (held === '') from = left;
        held += word.stretches[0]!.shown + (i < ordered.length - 1 ? ' ' : '');
      } else this.#stretches(word, left, y, size, bold);
      left += word.width * size + space;
    }
    flush();
  }

  #stretches(word: Word, x: number, y: number, size: number, bold: boolean): void {
    let left = x;
    for (const { shown, actual } of word.stretches) {
      if (actual !== null) this.#document.markContent('Span', { actual });
      this.#document.text(shown, left, y, { lineBreak: false, baseline: 'alphabetic' });
      if (actual !== null) this.#document.endMarkedContent();
      left += this.#letters.width(shown, bold) * size;
    }
  }

  path(d: string, stroke: string | null, width: number, dash: readonly number[], fill: string | null): void {
    const document = this.#document.lineWidth(width).path(d);
    if (stroke !== null) document.strokeColor(stroke);
    if (fill !== null) document.fillColor(fill);
    if (dash.length > 0) document.dash(dash[0]!, { space: dash[1] ?? dash[0]! });
    if (stroke !== null && fill !== null) document.fillAndStroke();
    else if (fill !== null) document.fill();
    else document.stroke();
    if (dash.length > 0) document.undash();
  }

  /** A drawing with its top left at `x`, `y`, enlarged by `scale`. */
  drawing({ marks }: Drawing, x: number, y: number, scale = 1): void {
    this.#document.save().translate(x, y).scale(scale);
    for (const m of marks) {
      if (m.kind === 'path') this.path(m.d, m.stroke, m.width, m.dash, m.fill);
      else if (m.kind === 'picture') this.#picture(m);
      else {
        const words = this.#letters.lines(m.text, m.bold, Infinity)[0]!;
        const width =
          m.size * (words.reduce((s, w) => s + w.width, 0) + (words.length - 1) * this.#letters.width(' ', m.bold));
        this.line(
          words,
          m.x - (m.anchor === 'start' ? 0 : m.anchor === 'middle' ? width / 2 : width),
          m.y,
          m.size,
          m.bold,
          m.colour,
        );
      }
    }
    this.#document.restore();
  }

  /** A photograph: its JPEG file goes into the page as it is (ISO 32000-1, 7.4.8). Text that is no base64 is left out. */
  #picture({ jpeg, pixels, x, y, width, height }: PictureMark): void {
    const bytes = fromBase64(jpeg);
    if (bytes === null) return;
    const document = this.#document;
    let made = this.#pictures.get(jpeg);
    if (made === undefined) {
      const ref = document.ref({
        ...{ Type: 'XObject', Subtype: 'Image', BitsPerComponent: 8, ColorSpace: 'DeviceRGB' },
        ...{ Width: pixels[0], Height: pixels[1], Filter: 'DCTDecode' },
      });
      ref.end(bytes);
      this.#pictures.set(jpeg, (made = { name: `Im${this.#pictures.size + 1}`, ref }));
    }
    document.page.xobjects[made.name] = made.ref;
    document
      .save()
      .transform(width, 0, 0, -height, x, y + height)
      .addContent(`/${made.name} Do`)
      .restore();
  }

  /** Attaches a file in the way of PDF/A-3 (ISO 19005-3, annex E): associated with the whole document, as its data. */
  attach({ name, description, mime, bytes }: Attachment): void {
    const document = this.#document;
    const file = document.ref({
      Type: 'EmbeddedFile',
      Subtype: mime.replace('/', '#2F'),
      Filter: 'FlateDecode',
      Params: { Size: bytes.length },
    });
    file.end(zlibSync(bytes, { level: LEVEL }));
    const text = (t: string): object => new String(t);
    const specification = document.ref({
      Type: 'Filespec',
      AFRelationship: 'Data',
      F: text(name),
      UF: text(name),
      Desc: text(description),
      EF: { F: file, UF: file },
    });
    specification.end();
    document.addNamedEmbeddedFile(name, specification);
    document._root.data['AF'] = [specification];
  }

  /** Goes back to a page, counted from 0, to write its foot. */
  onPage(n: number): void {
    this.#document.switchToPage(n);
  }

  async bytes(): Promise<Uint8Array> {
    this.root.end();
    this.#document.end();
    return Uint8Array.from(await this.#bytes);
  }
}

/** Has every stream of a document compressed by one library, so that its bytes are the same everywhere; its metadata stay readable. */
function compressing(document: Document): void {
  const ref = document.ref.bind(document);
  document.ref = (data?: Record<string, unknown>): Reference => {
    const made = ref(data);
    const finalize = made.finalize.bind(made);
    made.finalize = () => {
      if (made.buffer.length > 0 && made.data['Filter'] === undefined && made.data['Type'] !== 'Metadata') {
        const whole = new Uint8Array(made.buffer.reduce((s, b) => s + b.length, 0));
        made.buffer.reduce((at, b) => (whole.set(b, at), at + b.length), 0);
        made.buffer = [zlibSync(whole, { level: LEVEL })];
        made.data['Filter'] = 'FlateDecode';
      }
      finalize();
    };
    return made;
  };
}
