/** Colours of a drawing: few, and told apart by lightness alone. */
export const INK = { black: '#1b2220', grey: '#53605b', light: '#c9cdc8', pale: '#eceeea', accent: '#1d5c58' } as const;

export interface PathMark {
  readonly kind: 'path';
  /** SVG path data with absolute M, L, C and Z only. */
  readonly d: string;
  readonly stroke: string | null;
  readonly width: number;
  readonly dash: readonly number[];
  readonly fill: string | null;
}

export interface TextMark {
  readonly kind: 'text';
  readonly text: string;
  /** Of the baseline's start, middle or end. */
  readonly x: number;
  readonly y: number;
  readonly size: number;
  readonly anchor: 'start' | 'middle' | 'end';
  readonly bold: boolean;
  readonly colour: string;
}

/** A photograph within a drawing. */
export interface PictureMark {
  readonly kind: 'picture';
  /** A whole JPEG file of three colours, base64. */
  readonly jpeg: string;
  /** Its size, px. */
  readonly pixels: readonly [width: number, height: number];
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export type Mark = PathMark | TextMark | PictureMark;

/** A picture as a list of marks, the same for every form. Points (1/72 inch), origin top left, y down. */
export interface Drawing {
  readonly width: number;
  readonly height: number;
  readonly marks: readonly Mark[];
}

type Stroke = { readonly width?: number; readonly colour?: string; readonly dash?: readonly number[] };
type Xy = readonly [number, number];

const n = (x: number): string => String(Math.round(x * 100) / 100 || 0);
/** Path data of a polyline. */
export const polyline = (points: readonly Xy[], closed = false): string =>
  points.length === 0 ? '' : `M${points.map(([x, y]) => `${n(x)} ${n(y)}`).join('L')}${closed ? 'Z' : ''}`;

/** Bezier circles: handle length for a quarter. */
const QUARTER = 0.5522847498;

/** Draws into a list. */
export class Pen {
  readonly marks: Mark[] = [];

  path(d: string, { width = 0.75, colour = INK.black, dash = [] }: Stroke = {}, fill: string | null = null): void {
    if (d !== '') this.marks.push({ kind: 'path', d, stroke: width > 0 ? colour : null, width, dash, fill });
  }

  line(x1: number, y1: number, x2: number, y2: number, stroke: Stroke = {}): void {
    this.path(
      polyline([
        [x1, y1],
        [x2, y2],
      ]),
      stroke,
    );
  }

  rectangle(x: number, y: number, w: number, h: number, stroke: Stroke = {}, fill: string | null = null): void {
    this.path(
      polyline(
        [
          [x, y],
          [x + w, y],
          [x + w, y + h],
          [x, y + h],
        ],
        true,
      ),
      stroke,
      fill,
    );
  }

  dot(x: number, y: number, r: number, fill: string | null = INK.black, stroke: Stroke = { width: 0 }): void {
    const k = QUARTER * r;
    const c = (...v: number[]): string => `C${v.map(n).join(' ')}`;
    this.path(
      `M${n(x + r)} ${n(y)}${c(x + r, y + k, x + k, y + r, x, y + r)}${c(x - k, y + r, x - r, y + k, x - r, y)}${c(x - r, y - k, x - k, y - r, x, y - r)}${c(x + k, y - r, x + r, y - k, x + r, y)}Z`,
      stroke,
      fill,
    );
  }

  /** Slanted lines across a rectangle: a band that is seen without colour. */
  hatch(x: number, y: number, w: number, h: number, step = 4, stroke: Stroke = { width: 0.4, colour: INK.grey }): void {
    if (!(w > 0 && h > 0)) return;
    const parts: string[] = [];
    for (let t = step; t < w + h; t += step) {
      const from: Xy = t <= h ? [x, y + t] : [x + t - h, y + h];
      const to: Xy = t <= w ? [x + t, y] : [x + w, y + t - w];
      parts.push(polyline([from, to]));
    }
    this.path(parts.join(''), stroke);
  }

  /** A whisker lying from `x1` to `x2`, with ends. */
  whisker(x1: number, x2: number, y: number, end = 3, stroke: Stroke = { width: 1 }): void {
    this.path(
      polyline([
        [x1, y],
        [x2, y],
      ]) +
        polyline([
          [x1, y - end],
          [x1, y + end],
        ]) +
        polyline([
          [x2, y - end],
          [x2, y + end],
        ]),
      stroke,
    );
  }

  text(
    text: string,
    x: number,
    y: number,
    {
      size = 8,
      anchor = 'start',
      bold = false,
      colour = INK.black,
    }: Partial<Pick<TextMark, 'size' | 'anchor' | 'bold' | 'colour'>> = {},
  ): void {
    this.marks.push({ kind: 'text', text, x, y, size, anchor, bold, colour });
  }

  picture({ jpeg, pixels }: Pick<PictureMark, 'jpeg' | 'pixels'>, x: number, y: number, w: number, h: number): void {
    this.marks.push({ kind: 'picture', jpeg, pixels, x, y, width: w, height: h });
  }

  drawing(width: number, height: number): Drawing {
    return { width, height, marks: this.marks };
  }
}
