import { describe, expect, test } from 'vitest';
import { CARD, CARD_EDGES, CARD_MARKERS, CARD_SADDLES, isBlack } from '../src/geometry/card.ts';
import { BANK_CARD } from '../src/bank-card/size.ts';
import { PAPERS } from '../src/report/forms/card-pdf.ts';

/**
 * Source: OpenCV, modules/objdetect/src/aruco/predefined_dictionaries.hpp, DICT_4X4_1000_BYTES, unturned (commit 0617c1e); DICT_4X4_50
 * is its first fifty. Two bytes a marker: 16 bits row by row from the top left, 1 = white.
 */
const DICT_4X4_50 = [
  [181, 50],
  [15, 154],
  [51, 45],
  [153, 70],
  [84, 158],
  [121, 205],
  [158, 46],
  [196, 242],
  [254, 218],
  [207, 86],
  [249, 145],
  [17, 167],
  [14, 183],
  [42, 15],
  [36, 177],
  [38, 62],
  [70, 101],
  [102, 0],
  [108, 94],
  [118, 175],
  [134, 139],
  [176, 43],
  [204, 213],
  [221, 130],
  [254, 71],
  [148, 113],
  [172, 228],
  [165, 84],
  [33, 35],
  [52, 111],
  [68, 21],
  [87, 178],
  [158, 207],
  [240, 203],
  [8, 174],
  [9, 41],
  [24, 117],
  [4, 255],
  [13, 246],
  [28, 90],
  [23, 24],
  [42, 40],
  [50, 140],
  [56, 178],
  [36, 232],
  [46, 235],
  [45, 63],
  [75, 100],
  [80, 46],
  [80, 19],
] as const;

const bit = (bits: number, row: number, column: number): number => (bits >> (15 - 4 * row - column)) & 1;
const rebuilt = (from: (row: number, column: number) => number): number => {
  let out = 0;
  for (let r = 0; r < 4; r++) for (let c = 0; c < 4; c++) out = 2 * out + from(r, c);
  return out;
};
const quarterTurned = (bits: number): number => rebuilt((r, c) => bit(bits, 3 - c, r));
const mirrored = (bits: number): number => rebuilt((r, c) => bit(bits, r, 3 - c));
const turns = (bits: number): number[] => {
  const once = quarterTurned(bits);
  const twice = quarterTurned(once);
  return [bits, once, twice, quarterTurned(twice)];
};
const different = (a: number, b: number): number => (a ^ b).toString(2).replaceAll('0', '').length;

describe('the markers', () => {
  test('are the first of the published dictionary, bit by bit', () => {
    expect(CARD_MARKERS.map(({ id }) => id)).toEqual(Array.from({ length: 48 }, (_, k) => k));
    for (const { id, bits } of CARD_MARKERS) expect(bits).toBe(256 * DICT_4X4_50[id]![0] + DICT_4X4_50[id]![1]);
  });

  test('differ in four bits or more from each other and from themselves turned', () => {
    // OpenCV lets the dictionary correct (4 - 1) / 2 bits.
    for (const a of CARD_MARKERS)
      for (const b of CARD_MARKERS)
        turns(b.bits).forEach((bits, turn) => {
          if (a !== b || turn > 0) expect(different(a.bits, bits)).toBeGreaterThanOrEqual(4);
        });
  });

  test('that read as a card marker when mirrored are few, so that a mirrored photo can be told', () => {
    const straight = new Set(CARD_MARKERS.flatMap(({ bits }) => turns(bits)));
    expect(CARD_MARKERS.filter(({ bits }) => straight.has(mirrored(bits))).length).toBeLessThanOrEqual(4);
  });

  test('stand in the middle of the white squares of the ring, one in each', () => {
    const places = CARD_MARKERS.map(({ corners }) => {
      const x = (corners[0]! + corners[4]!) / 2 + CARD.width / 2;
      const y = CARD.height / 2 - (corners[1]! + corners[5]!) / 2;
      expect(corners[2]! - corners[0]!).toBeCloseTo(CARD.marker, 12);
      expect(corners[1]! - corners[7]!).toBeCloseTo(CARD.marker, 12);
      return [x / CARD.square - 0.5, y / CARD.square - 0.5] as const;
    });
    for (const [column, row] of places) {
      expect(Math.abs(column - Math.round(column)) + Math.abs(row - Math.round(row))).toBeLessThan(1e-9);
      expect(isBlack(Math.round(column), Math.round(row))).toBe(false);
    }
    // 16 x 12 squares less the stage's 12 x 8, half of them white.
    expect(new Set(places.map(String)).size).toBe((16 * 12 - 12 * 8) / 2);
  });
});

test('the saddles are where four squares of the ring meet, one square in from its border', () => {
  // A 14 x 10 rectangle of squares has that many corner points on its border.
  expect(CARD_SADDLES).toHaveLength(2 * 2 * (14 + 10));
  for (let k = 0; k < CARD_SADDLES.length; k += 2) {
    const inset = Math.min(
      CARD.width / 2 - Math.abs(CARD_SADDLES[k]!),
      CARD.height / 2 - Math.abs(CARD_SADDLES[k + 1]!),
    );
    expect(inset).toBeCloseTo(CARD.square, 12);
  }
});

test('the edges run between a black and a white square, from black to white', () => {
  const blackAt = (x: number, y: number): boolean =>
    isBlack(Math.floor((x + CARD.width / 2) / CARD.square), Math.floor((CARD.height / 2 - y) / CARD.square));
  for (const { from, to, normal } of CARD_EDGES) {
    expect(Math.hypot(to[0] - from[0], to[1] - from[1])).toBeLessThan(CARD.square);
    expect(normal[0] * (to[0] - from[0]) + normal[1] * (to[1] - from[1])).toBeCloseTo(0, 12);
    for (const t of [0.1, 0.5, 0.9]) {
      const [x, y] = [from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1])];
      expect(blackAt(x - 0.1 * normal[0], y - 0.1 * normal[1])).toBe(true);
      expect(blackAt(x + 0.1 * normal[0], y + 0.1 * normal[1])).toBe(false);
    }
  }
});

test('sizes are those of the standards', () => {
  // ISO/IEC 7810:2019, clause 5 (ID-1); ISO 216:2007, table 1 (A4); ANSI/ASME Y14.1 (size A, 8.5 x 11 inch).
  expect(BANK_CARD).toEqual({ width: 85.6, height: 53.98 });
  expect(PAPERS.a4).toEqual({ width: 210, height: 297 });
  expect(PAPERS.letter.width).toBeCloseTo(8.5 * 25.4, 12);
  expect(PAPERS.letter.height).toBeCloseTo(11 * 25.4, 12);
  // The ring, its quiet margin and both bars must fit on both.
  expect(CARD.width + 2 * CARD.quietMargin).toBeLessThan(210);
});
