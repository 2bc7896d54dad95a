import type { PhotoCoding } from '../formats/photo-coding.ts';

/**
 * Luma's table of quality 50, in zigzag order.
 * Source: ITU-T T.81, table K.1; the order, figure A.6 there; the scale, of the Independent JPEG Group's library (from memory).
 */
const STANDARD = [
  16, 11, 12, 14, 12, 10, 16, 14, 13, 14, 18, 17, 16, 19, 24, 40, 26, 24, 22, 22, 24, 49, 35, 37, 29, 40, 58, 51, 61,
  60, 57, 51, 56, 55, 64, 72, 92, 78, 64, 68, 87, 69, 55, 56, 80, 109, 81, 87, 95, 98, 103, 104, 103, 62, 77, 113, 121,
  112, 100, 120, 92, 101, 103, 99,
] as const;
/** Waves in zigzag order whose period is longer than 4 px: both frequencies below 4 half waves per block. */
const LONG = [1, 2, 3, 4, 5, 6, 7, 8, 11, 12, 13, 17, 18, 24] as const;

const DQT = 0xdb;
/** Frame headers: FF C0 to FF CF without the tables DHT, JPG and DAC. */
export const isFrame = (marker: number): boolean =>
  marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker);

/** Collects what the segments of a JPEG say of its rounding; malformed ones say nothing. Source: ITU-T T.81, B.2.2 and B.2.4.1. */
export function codingReader(): { segment(marker: number, body: Uint8Array): void; result(): PhotoCoding | null } {
  const tables = new Map<number, number[]>();
  let layout: { readonly sampling: number; readonly table: number }[] = [];
  return {
    segment(marker, body) {
      if (marker === DQT) readTables(body, tables);
      if (isFrame(marker) && body.length >= 6 + 3 * body[5]!)
        layout = Array.from({ length: body[5]! }, (_, i) => ({ sampling: body[7 + 3 * i]!, table: body[8 + 3 * i]! }));
    },
    result() {
      const [luma, colour] = layout;
      const table = luma && tables.get(luma.table);
      if (!table) return null;
      const second = (colour && tables.get(colour.table)) ?? table;
      const per = (s: number): [number, number] => [s >> 4, s & 15];
      const [a, b] = [per(luma.sampling), per(colour?.sampling ?? luma.sampling)];
      return {
        quality: qualityOf(table),
        coarse: rms(LONG.map((k) => table[k]!)),
        fine: rms(table.slice(1)),
        colour: [a[0] / Math.max(1, b[0]), a[1] / Math.max(1, b[1])],
        colourCoarse: rms(LONG.map((k) => second[k]!)),
      };
    },
  };
}

function readTables(body: Uint8Array, tables: Map<number, number[]>): void {
  for (let at = 0; at < body.length;) {
    const wide = body[at]! >> 4 > 0;
    const end = at + 1 + (wide ? 128 : 64);
    if (end > body.length) return;
    const values: number[] = [];
    for (let k = at + 1; k < end; k += wide ? 2 : 1) values.push(wide ? (body[k]! << 8) | body[k + 1]! : body[k]!);
    tables.set(body[at]! & 15, values);
    at = end;
  }
}

const rms = (values: readonly number[]): number => Math.sqrt(values.reduce((s, v) => s + v * v, 0) / values.length);

/** The quality whose table is as coarse as this one on average. */
function qualityOf(table: readonly number[]): number {
  const share = table.reduce((s, v) => s + v, 0) / STANDARD.reduce((s, v) => s + v, 0);
  return Math.round(share <= 1 ? 100 - 50 * share : Math.max(1, 50 / share));
}
