import { CARD_MARKERS, type CardMarker } from '../geometry/card.ts';
import { homographyOf, mapped } from '../maths/homography.ts';
import { withArena, type Cv } from './cv.ts';
import type { GreyPicture } from './picture.ts';

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
export function findMarkers(cv: Cv, grey: GreyPicture): MarkerSight {
  const best = new Map<number, FoundMarker>();
  let mirrored = 0;
  let foreign = 0;
  for (const threshold of MARKER_SEARCH.thresholds) {
    const seen = { mirrored: 0, foreign: 0 };
    for (const quad of quads(cv, grey, threshold)) {
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
function quads(cv: Cv, grey: GreyPicture, { block, offset }: { block: number; offset: number }): Float64Array[] {
  const { smallest, largestShare, cornerTolerance } = MARKER_SEARCH;
  return withArena(cv, (arena) => {
    const source = arena.mat(grey.height, grey.width, 'u8', grey.data);
    const binary = arena.mat();
    cv.adaptiveThreshold(source, binary, 255, 'mean', 'binary-inverse', block, offset);
    const out: Float64Array[] = [];
    const longest = largestShare * Math.max(grey.width, grey.height);
    for (const chain of cv.findContours(binary, 'list', 'all', 4 * smallest).chains) {
      if (chain.length < 8 * smallest || chain.length / 2 > 4 * longest) continue;
      const q = cv.approxPolyDP(chain, cornerTolerance * (chain.length / 2), true);
      if (q.length !== 8 || !cv.isContourConvex(q)) continue;
      if (cv.contourArea(q) < smallest * smallest) continue;
      out.push(clockwise(q));
    }
    return out;
  });
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
  const value = new Float64Array(MODULES * MODULES);
  for (let r = 0; r < MODULES; r++)
    for (let c = 0; c < MODULES; c++) {
      let s = 0;
      for (let k = 0; k < 4; k++) {
        const [x, y] = mapped(h, c + 0.35 + 0.3 * (k & 1), r + 0.35 + 0.3 * (k >> 1));
        s += sampled(grey, x, y) / 4;
      }
      value[MODULES * r + c] = s;
    }
  const isBorder = (k: number): boolean =>
    k < MODULES || k >= MODULES * (MODULES - 1) || k % MODULES === 0 || k % MODULES === MODULES - 1;
  const border = value.filter((_, k) => isBorder(k));
  const inner = value.filter((_, k) => !isBorder(k));
  const black = Math.max(...border);
  const white = Math.max(...inner);
  const mean = border.reduce((s, v) => s + v, 0) / border.length;
  const level = (mean + white) / 2;
  if (white - mean < 25 || black > level) return null;
  return inner.reduce((bits, v, k) => (v > level ? bits | (1 << (15 - k)) : bits), 0);
}

function sampled(grey: GreyPicture, x: number, y: number): number {
  const i = Math.min(grey.width - 1, Math.max(0, Math.round(x)));
  const j = Math.min(grey.height - 1, Math.max(0, Math.round(y)));
  return grey.data[j * grey.width + i]!;
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
