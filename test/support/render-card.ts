import {
  moved,
  projection,
  product,
  rotationOf,
  turnedBack,
  viewingRay,
  type Camera,
  type Rigid,
} from '../../src/geometry/camera.ts';
import { CARD, CARD_MARKERS, isBlack } from '../../src/geometry/card.ts';
import { contactFinder, newContact, type SeenBalls } from '../../src/geometry/hull.ts';
import { outlineOf } from '../../src/geometry/outline.ts';
import { byAxis, type Vec3 } from '../../src/geometry/vec.ts';
import { erf, normalDensity } from '../../src/maths/normal.ts';
import { seededNormal, seededRandom } from '../../src/maths/random.ts';
import { bowHeight } from '../../src/vision/calibration.ts';
import type { Picture } from '../../src/vision/picture.ts';
import { SRGB, type ToneCurve } from '../../src/vision/tone.ts';

/** A card, and perhaps a die on it, before a camera. Everything is known; nothing is found here. */
export interface Scene {
  readonly width: number;
  readonly height: number;
  readonly camera: Camera;
  readonly cameraFromCard: Rigid;
  /** Printed over designed length along x and y. */
  readonly scale: readonly [number, number];
  /** Height of the printed card over its plane, as in a calibration, mm. */
  readonly bow: Vec3;
  /** Light, 0 to 1, linear. */
  readonly black: number;
  readonly white: number;
  readonly stage: number;
  readonly table: number;
  /** Ids of markers whose squares are covered, and the cover's light. */
  readonly hidden: readonly number[];
  readonly cover: number;
  /** A thing of even light, the hull of balls in the camera frame. */
  readonly die: { readonly balls: SeenBalls; readonly light: number } | null;
  /** Sigma of the Gaussian that blurs the light, px; the pixel's own area comes on top (sigma 0.29). */
  readonly blur: number;
  readonly tone: ToneCurve;
  /** Standard deviation in display values, and what it is drawn from. */
  readonly noise: number;
  readonly seed: number;
  readonly mirrored: boolean;
  /** Samples in each of the FINE x FINE cells of a pixel that holds an edge. */
  readonly samples: number;
}

/**
 * Cells along each side of a pixel. The light is blurred on the cells, as a lens blurs before a sensor samples: on whole pixels an edge's
 * shape would depend on where in a pixel it falls, and pull places by up to 0.03 px; on cells by FINE^-3 of that.
 */
const FINE = 3;

/**
 * Places in the unit square, no two in one row or column (Hammersley's set), so that an edge along the grid is rendered as finely as any.
 *
 * [x0, y0, x1, y1, ...]
 */
function sampling(count: number): Float64Array {
  const out = new Float64Array(2 * count);
  for (let i = 0; i < count; i++) {
    let inverse = 0;
    for (let k = i, share = 0.5; k > 0; k >>= 1, share /= 2) if (k & 1) inverse += share;
    out.set([(i + 0.5) / count, inverse + 0.5 / count], 2 * i);
  }
  return out;
}

/** Paper goes on beyond the ring by this much, mm. */
const PAPER = 16;

/**
 * Camera over the middle of the card.
 *
 * @param lean      From looking straight down, degrees.
 * @param spin      Turn of the card under the camera about its upward axis, degrees.
 * @param roll      Turn of the camera about its viewing axis, degrees.
 * @param distance  mm.
 */
export function poseOver(lean: number, spin: number, roll: number, distance: number): Rigid {
  const about = (axis: Vec3, degrees: number): Float64Array =>
    rotationOf(byAxis((k) => (axis[k]! * degrees * Math.PI) / 180));
  const facing = Float64Array.of(1, 0, 0, 0, -1, 0, 0, 0, -1);
  const rotation = product(
    about([0, 0, 1], roll),
    product(about([1, 0, 0], -lean), product(facing, about([0, 0, 1], spin))),
  );
  return { rotation, shift: [0, 0, distance] };
}

/** A scene of a middling photo, with `changes`. */
export function scene(changes: Partial<Scene> = {}): Scene {
  const width = changes.width ?? 1500;
  const height = changes.height ?? 1200;
  return {
    width,
    height,
    camera: { f: 1.2 * width, cx: (width - 1) / 2 + 3.3, cy: (height - 1) / 2 - 2.1, k1: 0.03, k2: -0.05 },
    cameraFromCard: poseOver(20, 0, 0, 190),
    scale: [1, 1],
    bow: [0, 0, 0],
    black: 0.04,
    white: 0.75,
    stage: 0.75,
    table: 0.25,
    hidden: [],
    cover: 0.35,
    die: null,
    blur: 0.8,
    tone: SRGB,
    noise: 1,
    seed: 1,
    mirrored: false,
    samples: 16,
    ...changes,
  };
}

/** Where a point of the card's design stands in the picture, px. */
export function seenOnCard(s: Scene, x: number, y: number): readonly [number, number] {
  const [px, py] = [x * s.scale[0], y * s.scale[1]];
  const [u, v] = projection(s.camera, moved(s.cameraFromCard, [px, py, bowHeight(s.bow, px, py)]));
  return [s.mirrored ? s.width - 1 - u : u, v];
}

export function rendered(s: Scene): Picture {
  const light = seenLight(s);
  const normal = seededNormal(seededRandom(s.seed));
  const data = new Uint8Array(3 * s.width * s.height);
  for (let k = 0; k < light.length; k++) {
    const value = s.tone.toDisplay(light[k]!) + (s.noise > 0 ? s.noise * normal() : 0);
    const o = s.mirrored ? k + s.width - 1 - 2 * (k % s.width) : k;
    data[3 * o] = data[3 * o + 1] = data[3 * o + 2] = Math.max(0, Math.min(255, Math.round(value)));
  }
  return { width: s.width, height: s.height, channels: 3, data };
}

/** Squares, gaps and modules of the design all lie on a grid of this pitch, mm. */
const PITCH = CARD.marker / 6;

/** Light of the design's grid, row by row from the top left of the ring. */
function lightOfGrid(s: Scene): Float32Array {
  const perSquare = CARD.square / PITCH;
  const [columns, rows] = [CARD.columns * perSquare, CARD.rows * perSquare];
  const out = new Float32Array(columns * rows);
  const paint = (left: number, top: number, width: number, height: number, light: number): void => {
    for (let j = top; j < top + height; j++) out.fill(light, j * columns + left, j * columns + left + width);
  };
  for (let r = 0; r < CARD.rows; r++)
    for (let c = 0; c < CARD.columns; c++)
      paint(c * perSquare, r * perSquare, perSquare, perSquare, isBlack(c, r) ? s.black : s.white);
  const [across, down] = [(CARD.width - CARD.stageWidth) / 2, (CARD.height - CARD.stageHeight) / 2];
  paint(across / PITCH, down / PITCH, CARD.stageWidth / PITCH, CARD.stageHeight / PITCH, s.stage);
  for (const { id, bits, corners } of CARD_MARKERS) {
    const [left, top] = [
      Math.round((corners[0]! + CARD.width / 2) / PITCH),
      Math.round((CARD.height / 2 - corners[1]!) / PITCH),
    ];
    if (s.hidden.includes(id)) paint(left - 1, top - 1, perSquare, perSquare, s.cover);
    else {
      paint(left, top, 6, 6, s.black);
      for (let k = 0; k < 16; k++)
        if ((bits >> (15 - k)) & 1) paint(left + 1 + (k % 4), top + 1 + (k >> 2), 1, 1, s.white);
    }
  }
  return out;
}

/** Light of a place of the design, mm, card frame. */
function lightOfDesign(s: Scene): (x: number, y: number) => number {
  const grid = lightOfGrid(s);
  const columns = CARD.width / PITCH;
  return (x, y) => {
    const ax = Math.abs(x) - CARD.width / 2;
    const ay = Math.abs(y) - CARD.height / 2;
    if (ax < 0 && ay < 0)
      return grid[Math.floor((CARD.height / 2 - y) / PITCH) * columns + Math.floor((x + CARD.width / 2) / PITCH)]!;
    return ax > PAPER || ay > PAPER ? s.table : s.white;
  };
}

/** Light of each pixel, blurred, row by row. */
function seenLight(s: Scene): Float32Array {
  const { width: w, height: h } = s;
  const row = cellRows(s);
  const weights = pixelWeights(s.blur);
  const across = new Float32Array(w * FINE * h);
  for (let v = 0; v < h; v++) {
    const cells = row(v);
    for (let j = 0; j < FINE; j++) {
      blurredLine(
        cells.subarray(j * w * FINE, (j + 1) * w * FINE),
        weights,
        across.subarray((v * FINE + j) * w, (v * FINE + j + 1) * w),
      );
    }
  }
  const out = new Float32Array(w * h);
  const sums = new Float64Array(w);
  for (let v = 0; v < h; v++) {
    sums.fill(0);
    const first = v * FINE + (FINE - 1) / 2 - (weights.length - 1) / 2;
    // Line by line, as they lie in memory.
    for (let i = 0; i < weights.length; i++) {
      const weight = weights[i]!;
      const line = w * Math.max(0, Math.min(h * FINE - 1, first + i));
      for (let u = 0; u < w; u++) sums[u]! += weight * across[line + u]!;
    }
    out.set(sums, v * w);
  }
  return out;
}

/** Shares of the cells round a pixel in its light: a Gaussian blur, then the pixel's own extent; closed form. */
function pixelWeights(sigma: number): Float64Array {
  const s = Math.max(sigma, 1e-4);
  const reach = FINE * Math.ceil(4.5 * s + 0.5) + (FINE - 1) / 2;
  const integral = (x: number): number => x * ((1 + erf(x / s / Math.SQRT2)) / 2) + s * normalDensity(x / s);
  return Float64Array.from({ length: 2 * reach + 1 }, (_, i) => {
    const [a, b] = [(i - reach - 0.5) / FINE, (i - reach + 0.5) / FINE];
    return integral(b + 0.5) - integral(a + 0.5) - integral(b - 0.5) + integral(a - 0.5);
  });
}

/** Light of the pixels along a line of cells, into `out`; beyond its ends the line goes on as it ends. */
function blurredLine(cells: Float32Array, weights: Float64Array, out: Float32Array): void {
  const last = cells.length - 1;
  // Most windows see one light: what the weights make of it is worked out once.
  let [even, ofEven] = [NaN, 0];
  let runs = 0;
  let seen = 0;
  for (let p = 0; p < out.length; p++) {
    const first = p * FINE + (FINE - 1) / 2 - (weights.length - 1) / 2;
    const end = Math.min(last, first + weights.length - 1);
    for (; seen < end; seen++) if (cells[seen + 1] !== cells[seen]) runs = seen + 1;
    if (runs > Math.max(0, first)) out[p] = weighted(cells, first, weights);
    else {
      const light = cells[end]!;
      if (light !== even) [even, ofEven] = [light, weighted(cells, first, weights)];
      out[p] = ofEven;
    }
  }
}

function weighted(cells: Float32Array, first: number, weights: Float64Array): number {
  const { length } = cells;
  let sum = 0;
  if (first >= 0 && first + weights.length <= length)
    for (let i = 0, k = first; i < weights.length; i++, k++) sum += weights[i]! * cells[k]!;
  else
    for (let i = 0; i < weights.length; i++) sum += weights[i]! * cells[Math.max(0, Math.min(length - 1, first + i))]!;
  return sum;
}

/** Light of the FINE x FINE cells of each pixel of a row, before any blur: FINE lines of FINE x width. The array is filled anew by each call. */
function cellRows(s: Scene): (v: number) => Float32Array {
  const { width: w, samples } = s;
  const place = placesOfCorners(s);
  const lightAt = lightOfDesign(s);
  const cover = s.die && coverOf(s, s.die.balls);
  const places = sampling(samples);
  const corner = new Float32Array((w + 1) * (s.height + 1));
  for (let k = 0; k < corner.length; k++) corner[k] = lightAt(place[2 * k]!, place[2 * k + 1]!);
  const out = new Float32Array(FINE * FINE * w);
  const fill = (u: number, light: number): void => {
    for (let j = 0; j < FINE; j++) for (let k = (j * w + u) * FINE, end = k + FINE; k < end; k++) out[k] = light;
  };
  return (v) => {
    for (let u = 0; u < w; u++) {
      const k = v * (w + 1) + u;
      const value = corner[k]!;
      const covered = cover ? cover.whole[v * w + u]! : 0;
      if (covered === WHOLE) fill(u, s.die!.light);
      else if (
        covered !== PART &&
        corner[k + 1] === value &&
        corner[k + w + 1] === value &&
        corner[k + w + 2] === value
      )
        fill(u, value);
      else {
        // Within a pixel the map to the card is as good as linear.
        const [x, y] = [place[2 * k]!, place[2 * k + 1]!];
        const [xu, yu] = [place[2 * k + 2]! - x, place[2 * k + 3]! - y];
        const [xv, yv] = [place[2 * (k + w + 1)]! - x, place[2 * (k + w + 1) + 1]! - y];
        for (let c = 0; c < FINE * FINE; c++) {
          const i = c % FINE;
          const j = (c - i) / FINE;
          let sum = 0;
          for (let n = 0; n < samples; n++) {
            const a = (i + places[2 * n]!) / FINE;
            const b = (j + places[2 * n + 1]!) / FINE;
            sum +=
              covered === PART && cover!.at(u - 0.5 + a, v - 0.5 + b)
                ? s.die!.light
                : lightAt(x + a * xu + b * xv, y + a * yu + b * yv);
          }
          out[j * w * FINE + u * FINE + i] = sum / samples;
        }
      }
    }
    return out;
  };
}

/** Place of the design that each pixel corner looks at: [x, y] in mm, (width + 1) x (height + 1) of them. */
function placesOfCorners(s: Scene): Float64Array {
  const { width: w, height: h, cameraFromCard } = s;
  const out = new Float64Array(2 * (w + 1) * (h + 1));
  const { rotation, shift } = cameraFromCard;
  const eye = turnedBack(rotation, [-shift[0], -shift[1], -shift[2]]);
  // A level card is met at once.
  const rounds = s.bow.every((b) => b === 0) ? 1 : 3;
  for (let v = 0, k = 0; v <= h; v++)
    for (let u = 0; u <= w; u++, k += 2) {
      const d = turnedBack(rotation, viewingRay(s.camera, u - 0.5, v - 0.5));
      let x = 0;
      let y = 0;
      for (let round = 0; round < rounds; round++) {
        const t = (bowHeight(s.bow, x, y) - eye[2]) / d[2];
        x = t > 0 ? eye[0] + t * d[0] : 1e6;
        y = t > 0 ? eye[1] + t * d[1] : 1e6;
      }
      out[k] = x / s.scale[0];
      out[k + 1] = y / s.scale[1];
    }
  return out;
}

const [WHOLE, PART] = [1, 2];

/** Which pixels the die covers whole, and in part or perhaps not; and whether it covers a place, px. */
function coverOf(
  s: Scene,
  balls: SeenBalls,
): { readonly whole: Uint8Array; readonly at: (u: number, v: number) => boolean } {
  const { width: w, height: h } = s;
  const whole = new Uint8Array(w * h);
  const curve = outlineOf(balls, s.camera, 0.5);
  const [left, right] = [new Int32Array(h).fill(w), new Int32Array(h).fill(-1)];
  const rounded = Array.from(
    { length: curve.count },
    (_, k) => [Math.round(curve.xy[2 * k]!), Math.round(curve.xy[2 * k + 1]!)] as const,
  );
  for (const [u, v] of rounded) {
    if (v < 0 || v >= h) continue;
    left[v] = Math.min(left[v]!, u);
    right[v] = Math.max(right[v]!, u);
  }
  for (let v = 0; v < h; v++)
    if (right[v]! >= left[v]!) whole.fill(WHOLE, v * w + Math.max(0, left[v]!), v * w + Math.min(w, right[v]! + 1));
  for (const [u, v] of rounded)
    for (let j = Math.max(0, v - 2); j <= Math.min(h - 1, v + 2); j++)
      whole.fill(PART, j * w + Math.max(0, Math.min(w, u - 2)), j * w + Math.max(0, Math.min(w, u + 3)));
  const find = contactFinder(balls);
  const contact = newContact();
  return {
    whole,
    at: (u, v) => {
      find(...viewingRay(s.camera, u, v), contact);
      return contact.distance < 0;
    },
  };
}
