/** The part of fontkit that `letters.ts` uses. */
declare module 'fontkit' {
  export interface FontkitFont {
    readonly unitsPerEm: number;
    hasGlyphForCodePoint(codePoint: number): boolean;
    layout(text: string): {
      readonly glyphs: readonly {
        readonly path: {
          toSVG(): string;
          scale(x: number, y: number): { translate(x: number, y: number): { toSVG(): string } };
        };
      }[];
      readonly positions: readonly { readonly xAdvance: number; readonly xOffset: number; readonly yOffset: number }[];
      readonly advanceWidth: number;
    };
  }
  export function create(bytes: Uint8Array): FontkitFont;
}
