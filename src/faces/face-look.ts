import type { FacePicture } from './face-picture.ts';
import { takeSmoothLight } from './smooth-light.ts';

/** Sides of what is compared of a face, cells. */
export const LOOK_SIDE = 32;
/** Cells that two faces must both show to be compared. */
const CELLS_NEEDED = 50;

/** What is darker and lighter on a face, whatever it is: light per channel, what of it changes slowly over the face taken off. */
export interface FaceLook {
  readonly face: number;
  readonly slant: number;
  /** One per turn k: the picture turned k times 360/n degrees counter-clockwise. 3 values per cell, 0 where nothing is seen. */
  readonly turned: readonly ListedCells[];
}

interface Cells {
  readonly value: Float32Array;
  readonly seen: Uint8Array;
}

/** The same, and which cells are seen. */
interface ListedCells extends Cells {
  readonly list: Uint16Array;
}

/** @param turns  Turns of the face onto itself, `FACE_TURNS` of its kind. */
export function faceLook(picture: FacePicture, turns: number): FaceLook {
  const turned = Array.from({ length: turns }, (_, k) =>
    listed(levelled(drawnIn(reduced(picture, (2 * Math.PI * k) / turns)))),
  );
  return { face: picture.face, slant: picture.slant, turned };
}

function listed({ value, seen }: Cells): ListedCells {
  const list = new Uint16Array(seen.length);
  let n = 0;
  for (let k = 0; k < seen.length; k++) if (seen[k] === 1) list[n++] = k;
  return { value, seen, list: list.slice(0, n) };
}

/** Samples along each side of a cell, and how many of all must be seen. */
const SAMPLES = 3;
const SEEN = 7;

/** Where the samples of each cell lie in a picture of a size turned by an angle, its pixels' indices; -1 outside. Kept: a set asks for the same few. */
const places = new Map<string, Int32Array>();
function placesOf(size: number, angle: number): Int32Array {
  const key = `${size} ${angle}`;
  let out = places.get(key);
  if (out) return out;
  if (places.size > 20) places.clear();
  out = new Int32Array(LOOK_SIDE * LOOK_SIDE * SAMPLES * SAMPLES);
  const half = (size - 1) / 2;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const step = size / LOOK_SIDE;
  for (let y = 0, at = 0; y < LOOK_SIDE; y++)
    for (let x = 0; x < LOOK_SIDE; x++)
      for (let q = 0; q < SAMPLES * SAMPLES; q++, at++) {
        const right = (x + ((q % SAMPLES) + 0.5) / SAMPLES) * step - 0.5 - half;
        const down = (y + (Math.floor(q / SAMPLES) + 0.5) / SAMPLES) * step - 0.5 - half;
        const px = Math.round(c * right - s * down + half);
        const py = Math.round(s * right + c * down + half);
        out[at] = px < 0 || py < 0 || px >= size || py >= size ? -1 : py * size + px;
      }
  places.set(key, out);
  return out;
}

/** The picture turned counter-clockwise by an angle, mean light of each cell. */
function reduced({ size, light, mask }: FacePicture, angle: number): Cells {
  const value = new Float32Array(3 * LOOK_SIDE * LOOK_SIDE);
  const seen = new Uint8Array(LOOK_SIDE * LOOK_SIDE);
  const from = placesOf(size, angle);
  for (let k = 0, at = 0; k < seen.length; k++) {
    let [count, red, green, blue] = [0, 0, 0, 0];
    for (let q = 0; q < SAMPLES * SAMPLES; q++, at++) {
      const p = from[at]!;
      if (p < 0 || mask[p] === 0) continue;
      count++;
      // Sums are kept in single precision.
      red = Math.fround(red + light[3 * p]!);
      green = Math.fround(green + light[3 * p + 1]!);
      blue = Math.fround(blue + light[3 * p + 2]!);
    }
    if (count < SEEN) continue;
    seen[k] = 1;
    value[3 * k] = red / count;
    value[3 * k + 1] = green / count;
    value[3 * k + 2] = blue / count;
  }
  return { value, seen };
}

/** Rim of the seen cells that is left out, cells: a coarse pose lets the neighbours' light in. */
const RIM = 2;

function drawnIn({ value, seen }: Cells): Cells {
  let now = seen;
  for (let r = 0; r < RIM; r++) {
    const before = now;
    now = new Uint8Array(before.length);
    for (let y = 1; y < LOOK_SIDE - 1; y++)
      for (let k = y * LOOK_SIDE + 1; k < (y + 1) * LOOK_SIDE - 1; k++)
        now[k] = before[k]! & before[k - 1]! & before[k + 1]! & before[k - LOOK_SIDE]! & before[k + LOOK_SIDE]!;
  }
  for (let k = 0; k < now.length; k++) if (now[k] === 0) value.fill(0, 3 * k, 3 * k + 3);
  return { value, seen: now };
}

/** What shows too little of a face to tell its light from its print is not seen. */
const levelled = ({ value, seen }: Cells): Cells =>
  takeSmoothLight(value, seen, LOOK_SIDE) ? { value, seen } : { value, seen: new Uint8Array(seen.length) };

/** Correlation from which two looks are laid on each other more closely: a coarse pose puts a face up to a cell beside its place. */
const CLOSER = 0.25;
/** The cells beside a cell, as steps of its index. The rim of a look is never seen, so none leads into the next row. */
const BESIDE = [1, -1, LOOK_SIDE, -LOOK_SIDE] as const;

/**
 * Correlation of two faces' looks, -1 to 1, the first turned `turn` times; NaN where they share too little.
 *
 * Where they look alike at all, it is the greatest that a shift by a cell, and by less as parabolas through the neighbours tell, can give.
 */
export function likeness(a: FaceLook, turn: number, b: FaceLook): number {
  const [p, q] = [a.turned[turn]!, b.turned[0]!];
  const straight = correlation(p, q, 0);
  if (!(straight > CLOSER)) return straight;
  const known = new Map([[0, straight]]);
  const at = (shift: number): number => {
    if (!known.has(shift)) known.set(shift, correlation(p, q, shift));
    return known.get(shift)!;
  };
  const best = BESIDE.reduce<number>((s, shift) => (at(shift) > at(s) ? shift : s), 0);
  const along = (step: number): number => rise(at(best - step), at(best), at(best + step));
  return Math.min(1, at(best) + along(1) + along(LOOK_SIDE));
}

/** How far a parabola through three values rises over the middle one, that being the greatest; else 0. */
function rise(before: number, middle: number, after: number): number {
  const bent = 2 * middle - before - after;
  return middle >= before && middle >= after && bent > 1e-6 ? (after - before) ** 2 / (8 * bent) : 0;
}

/** Correlation over the cells that both show, the second shifted by a step of its index. */
function correlation({ value: p, list }: ListedCells, { value: q, seen }: ListedCells, shift: number): number {
  let [pq, pp, qq, n] = [0, 0, 0, 0];
  for (let i = 0; i < list.length; i++) {
    const k = list[i]!;
    if (seen[k + shift] !== 1) continue;
    n++;
    for (let e = 3 * k, f = 3 * (k + shift); e < 3 * k + 3; e++, f++) {
      const v = p[e]!;
      const w = q[f]!;
      pq += v * w;
      pp += v * v;
      qq += w * w;
    }
  }
  return n < CELLS_NEEDED || !(pp > 0 && qq > 0) ? NaN : pq / Math.sqrt(pp * qq);
}
