/** The part of pdfkit that is used here. Its public types would pull in Node's, which have no place in the core. */
declare module 'pdfkit' {
  /** A node of the document's structure, which readers aloud follow. */
  export interface StructureNode {
    add(child: object): StructureNode;
    end(): void;
  }

  /** An object of the file that others refer to. */
  export interface Reference {
    readonly data: Record<string, unknown>;
    buffer: Uint8Array[];
    end(chunk?: Uint8Array): void;
    finalize(): void;
  }

  export default class PDFDocument {
    constructor(options: {
      readonly size: readonly [number, number];
      readonly margin: number;
      readonly compress: boolean;
      readonly lang: string;
      readonly displayTitle: true;
      readonly info: Readonly<Record<string, unknown>>;
      readonly font?: string;
      readonly pdfVersion?: string;
      readonly subset?: string;
      readonly tagged?: boolean;
      readonly autoFirstPage?: boolean;
      readonly bufferPages?: boolean;
    });
    readonly info: object;
    readonly page: { readonly width: number; readonly height: number; readonly xobjects: Record<string, Reference> };
    readonly _root: {
      readonly data: Record<string, unknown> & {
        readonly ViewerPreferences: { readonly data: Record<string, unknown> };
      };
    };
    ref(data?: Record<string, unknown>): Reference;
    addNamedEmbeddedFile(name: string, ref: Reference): void;
    addPage(): this;
    switchToPage(n: number): void;
    registerFont(name: string, font: object): this;
    font(name: string): this;
    fontSize(points: number): this;
    fillColor(colour: string | readonly [number, number, number]): this;
    strokeColor(colour: string): this;
    lineWidth(points: number): this;
    dash(length: number, options: { readonly space: number }): this;
    undash(): this;
    rect(x: number, y: number, width: number, height: number): this;
    path(d: string): this;
    fill(): this;
    stroke(): this;
    fillAndStroke(): this;
    save(): this;
    restore(): this;
    translate(x: number, y: number): this;
    scale(factor: number): this;
    transform(a: number, b: number, c: number, d: number, e: number, f: number): this;
    addContent(operators: string): this;
    text(
      text: string,
      x: number,
      y: number,
      options: { readonly lineBreak: boolean; readonly baseline?: 'alphabetic' },
    ): this;
    widthOfString(text: string): number;
    struct(tag: string, options?: object): StructureNode;
    addStructure(node: StructureNode): void;
    markStructureContent(tag: string): object;
    markContent(tag: string, options: object): this;
    endMarkedContent(): this;
    end(): void;
  }
}

declare module 'pdfkit/output' {
  import type PDFDocument from 'pdfkit';
  export function toBytes(document: PDFDocument): Promise<Uint8Array>;
}

declare module 'pdfkit/standard-fonts/*' {
  const metrics: object;
  export default metrics;
}
