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
  const turned: ListedCells[] = [];
  for (let k = 0; k < turns; k++) turned.push(listed(levelled(drawnIn(reduced(picture, (2 * Math.PI * k) / turns)))));
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
  for (let k = 0; k < seen.length; k++) {
    let [count, red, green, blue] = [0, 0, 0, 0];
    const end = (k + 1) * SAMPLES * SAMPLES;
    for (let at = end - SAMPLES * SAMPLES; at < end && count + end - at >= SEEN; at++) {
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
/** A cell itself and those beside it, as steps of its index. The rim of a look is never seen, so none leads into the next row. */
const SHIFTS: readonly number[] = [0, 1, -1, LOOK_SIDE, -LOOK_SIDE];

/**
 * Correlation of two faces' looks, -1 to 1, the first turned `turn` times; NaN where they share too little.
 *
 * Where they look alike at all, it is the greatest that a shift by a cell, and by less as parabolas through the neighbours tell, can give.
 */
export function likeness(a: FaceLook, turn: number, b: FaceLook): number {
  const [p, q] = [a.turned[turn]!, b.turned[0]!];
  const straight = correlation(p, q, 0);
  if (!(straight > CLOSER)) return straight;
  const known = new Float64Array(SHIFTS.length);
  let best = 0;
  for (let d = 0; d < SHIFTS.length; d++) {
    known[d] = d === 0 ? straight : correlation(p, q, SHIFTS[d]!);
    if (known[d]! > known[best]!) best = d;
  }
  const shift = SHIFTS[best]!;
  const most = known[best]!;
  const across = rise(shifted(p, q, shift - 1, known), most, shifted(p, q, shift + 1, known));
  const along = rise(shifted(p, q, shift - LOOK_SIDE, known), most, shifted(p, q, shift + LOOK_SIDE, known));
  return Math.min(1, most + across + along);
}

/** Correlation at a shift, looked up where it is known. */
function shifted(p: ListedCells, q: ListedCells, shift: number, known: Float64Array): number {
  const d = SHIFTS.indexOf(shift);
  return d < 0 ? correlation(p, q, shift) : known[d]!;
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
    const e = 3 * k;
    const f = e + 3 * shift;
    const [r, g, b] = [p[e]!, p[e + 1]!, p[e + 2]!];
    const [u, v, w] = [q[f]!, q[f + 1]!, q[f + 2]!];
    // One after the other: the order of a sum is part of it.
    pq = pq + r * u + g * v + b * w;
    pp = pp + r * r + g * g + b * b;
    qq = qq + u * u + v * v + w * w;
  }
  return n < CELLS_NEEDED || !(pp > 0 && qq > 0) ? NaN : pq / Math.sqrt(pp * qq);
}
