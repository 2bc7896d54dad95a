import { CARD_MARKERS, type CardMarker } from '../geometry/card.ts';
import { areaOf } from '../geometry/polygon.ts';
import { homographyOf, type Homography } from '../maths/homography.ts';
import { Borders } from './borders.ts';
import { fewCorners } from './few-corners.ts';
import { darkerThanAround } from './local-threshold.ts';
import type { GreyPicture } from './reduced-grey.ts';

/** A marker of the card found in a photo. */
export interface FoundMarker {
  readonly marker: CardMarker;
  /** Picture position of its four corners, in the order of `marker.corners`, px of the full picture. */
  readonly corners: Float64Array;
}

export interface MarkerSight {
  readonly found: readonly FoundMarker[];
  /** Markers that read as the card's only when turned over: the photo is mirrored. */
  readonly mirrored: number;
  /** Black squares with a clean pattern that is not of this card. */
  readonly foreign: number;
}

/** Defaults of the search, in pixels of the reduced picture. */
export const MARKER_SEARCH = {
  smallest: 9,
  largestShare: 0.25,
  /** Windows of the local threshold and how far below their mean black lies: first for a card in good light, then for any. */
  thresholds: [
    { block: 25, offset: 14 },
    { block: 25, offset: 6 },
    { block: 71, offset: 6 },
  ],
  cornerTolerance: 0.06,
} as const;

/** 6 x 6 modules: a border of black round 4 x 4 bits. */
const MODULES = 6;

const turnedBits = (bits: number): number => {
  let out = 0;
  for (let r = 0; r < 4; r++)
    for (let c = 0; c < 4; c++) if ((bits >> (15 - (4 * r + c))) & 1) out |= 1 << (15 - (4 * c + (3 - r)));
  return out;
};
const flippedBits = (bits: number): number => {
  let out = 0;
  for (let r = 0; r < 4; r++)
    for (let c = 0; c < 4; c++) if ((bits >> (15 - (4 * r + c))) & 1) out |= 1 << (15 - (4 * r + (3 - c)));
  return out;
};

/** Reading -> marker and number of quarter turns (clockwise) by which the quad's first corner is ahead of the marker's top left. */
const dictionary = (() => {
  const straight = new Map<number, { marker: CardMarker; turns: number }>();
  const mirror = new Set<number>();
  for (const marker of CARD_MARKERS) {
    let bits = marker.bits;
    for (let turns = 0; turns < 4; turns++, bits = turnedBits(bits)) {
      straight.set(bits, { marker, turns });
      mirror.add(flippedBits(bits));
    }
  }
  return { straight, mirror };
})();

/** Finds the card's markers; the picture should be about 1200 to 2000 px wide. */
export function findMarkers(grey: GreyPicture): MarkerSight {
  const best = new Map<number, FoundMarker>();
  let mirrored = 0;
  let foreign = 0;
  for (const threshold of MARKER_SEARCH.thresholds) {
    const seen = { mirrored: 0, foreign: 0 };
    for (const quad of quads(grey, threshold)) {
      const bits = reading(grey, quad);
      if (bits === null) continue;
      const hit = dictionary.straight.get(bits);
      if (hit) {
        if (!best.has(hit.marker.id))
          best.set(hit.marker.id, { marker: hit.marker, corners: inPicture(grey, quad, hit.turns) });
      } else if (dictionary.mirror.has(bits)) seen.mirrored++;
      else if (bits !== 0 && bits !== 0xffff) seen.foreign++;
    }
    // Each threshold sees the same squares again.
    mirrored = Math.max(mirrored, seen.mirrored);
    foreign = Math.max(foreign, seen.foreign);
    if (best.size >= CARD_MARKERS.length * 0.75) break;
  }
  return { found: [...best.values()].sort((a, b) => a.marker.id - b.marker.id), mirrored, foreign };
}

/** Dark convex quadrangles, clockwise as drawn, px of the reduced picture. */
function quads(
  { width, height, data }: GreyPicture,
  { block, offset }: { readonly block: number; readonly offset: number },
): Float64Array[] {
  const { smallest, largestShare, cornerTolerance } = MARKER_SEARCH;
  const longest = 4 * largestShare * Math.max(width, height);
  const borders = new Borders(darkerThanAround(data, width, height, block, offset), width + 2);
  const out: Float64Array[] = [];
  for (let count = borders.next(); count > 0; count = borders.next()) {
    if (count < 4 * smallest || count > longest) continue;
    const q = fewCorners(borders.points, count, cornerTolerance * count);
    if (q.length === 8 && isConvex(q) && areaOf(q) >= smallest * smallest) out.push(clockwise(q));
  }
  // Those further down come first.
  return out.reverse();
}

/** Whether a polygon turns one way at each corner, none of them straight. */
function isConvex(xy: Int32Array): boolean {
  const n = xy.length;
  let way = 0;
  for (let i = 0; i < n; i += 2) {
    const [j, k] = [(i + 2) % n, (i + 4) % n];
    const turn = (xy[j]! - xy[i]!) * (xy[k + 1]! - xy[j + 1]!) - (xy[j + 1]! - xy[i + 1]!) * (xy[k]! - xy[j]!);
    if (turn === 0 || turn * way < 0) return false;
    way = turn;
  }
  return true;
}

function clockwise(q: ArrayLike<number>): Float64Array {
  const out = Float64Array.from(q);
  const area = (out[2]! - out[0]!) * (out[5]! - out[1]!) - (out[3]! - out[1]!) * (out[4]! - out[0]!);
  if (area > 0) return out;
  return Float64Array.of(out[0]!, out[1]!, out[6]!, out[7]!, out[4]!, out[5]!, out[2]!, out[3]!);
}

/** The 16 bits inside a quad, or null where its border is not black or black and white do not part. */
function reading(grey: GreyPicture, quad: Float64Array): number | null {
  const h = homographyOf([0, 0, MODULES, 0, MODULES, MODULES, 0, MODULES], quad);
  if (!h) return null;
  takeModules(grey, h);
  return bitsOf(values);
}

/** Looks at four places of each module. In one piece: no number of it is put on the heap. */
function takeModules({ width, height, data }: GreyPicture, h: Homography): void {
  for (let m = 0; m < values.length; m++) {
    const c = m % MODULES;
    const r = (m - c) / MODULES;
    let s = 0;
    for (let k = 0; k < 4; k++) {
      const x = c + 0.35 + 0.3 * (k & 1);
      const y = r + 0.35 + 0.3 * (k >> 1);
      const w = h[6]! * x + h[7]! * y + h[8]!;
      const i = Math.min(width - 1, Math.max(0, Math.round((h[0]! * x + h[1]! * y + h[2]!) / w)));
      const j = Math.min(height - 1, Math.max(0, Math.round((h[3]! * x + h[4]! * y + h[5]!) / w)));
      s += data[j * width + i]! / 4;
    }
    values[m] = s;
  }
}

/** What the modules of one square show, row by row. */
const values = new Float64Array(MODULES * MODULES);

const isBorder = (k: number): boolean =>
  k < MODULES || k >= MODULES * (MODULES - 1) || k % MODULES === 0 || k % MODULES === MODULES - 1;

const BORDER = 4 * (MODULES - 1);

function bitsOf(modules: Float64Array): number | null {
  let [black, white, sum] = [-Infinity, -Infinity, 0];
  for (let k = 0; k < modules.length; k++) {
    const v = modules[k]!;
    if (isBorder(k)) {
      black = Math.max(black, v);
      sum += v;
    } else white = Math.max(white, v);
  }
  const mean = sum / BORDER;
  const level = (mean + white) / 2;
  if (white - mean < 25 || black > level) return null;
  let bits = 0;
  for (let k = 0; k < modules.length; k++) if (!isBorder(k)) bits = (bits << 1) | (modules[k]! > level ? 1 : 0);
  return bits;
}

/** Corners in the marker's order, moved from the reduced picture's pixel centres to the full one's. */
function inPicture(grey: GreyPicture, quad: Float64Array, turns: number): Float64Array {
  const out = new Float64Array(8);
  for (let i = 0; i < 4; i++) {
    // `turns` clockwise turns of the pattern: the marker's top left stands at corner `turns` of the quad.
    const k = (i + turns) % 4;
    out[2 * i] = (quad[2 * k]! + 0.5) * grey.factor - 0.5;
    out[2 * i + 1] = (quad[2 * k + 1]! + 0.5) * grey.factor - 0.5;
  }
  return out;
}
