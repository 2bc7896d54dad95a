/** The part of pdfkit that `pdf.ts` lets through. Its public types would pull in Node's, which have no place in the core. */
declare module 'pdfkit' {
  export default class PDFDocument {
    constructor(options: {
      readonly size: readonly [number, number];
      readonly margin: number;
      readonly compress: boolean;
      readonly lang: string;
      readonly displayTitle: true;
      readonly info: { readonly Title: string; readonly CreationDate: Date };
    });
    readonly info: object;
    readonly _root: { readonly data: { readonly ViewerPreferences: { readonly data: Record<string, unknown> } } };
    fillColor(rgb: readonly [number, number, number]): this;
    rect(x: number, y: number, width: number, height: number): this;
    fill(): this;
    font(name: 'Helvetica' | 'Helvetica-Bold'): this;
    fontSize(points: number): this;
    text(text: string, x: number, y: number, options: { readonly lineBreak: boolean }): this;
    widthOfString(text: string): number;
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
