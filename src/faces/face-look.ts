import { faceMemory, type FaceMemory } from './face-memory.ts';
import type { FacePicture } from './face-picture.ts';
import { takeSmoothLight } from './smooth-light.ts';

/** Sides of what is compared of a face, cells. */
export const LOOK_SIDE = 32;
const CELLS = LOOK_SIDE * LOOK_SIDE;
/** Cells that two faces must both show to be compared. */
const CELLS_NEEDED = 50;

/** What is darker and lighter on a face, whatever it is: light per channel, what of it changes slowly over the face taken off. */
export interface FaceLook {
  readonly face: number;
  readonly slant: number;
  /** One per turn k: the picture turned k times 360/n degrees counter-clockwise. */
  readonly turned: readonly ListedCells[];
}

/** Three values per cell and whether it is seen (1 or 0), all 0 where it is not; and which are. */
interface ListedCells {
  readonly cells: Float32Array;
  readonly list: Uint16Array;
}

/** @param turns  Turns of the face onto itself, `FACE_TURNS` of its kind. */
export function faceLook(picture: FacePicture, turns: number): FaceLook {
  const { face, slant, size, light, mask } = picture;
  const memory = faceMemory();
  const cells = memory.room(16 * CELLS + 4 * PLACES + 13 * mask.length);
  const places = cells + 16 * CELLS;
  const shown = places + 4 * PLACES;
  memory.floats(shown, light.length).set(light);
  memory.bytes(shown + 12 * mask.length, mask.length).set(mask);
  const turned: ListedCells[] = [];
  const all = new Float32Array(turns * 4 * CELLS);
  for (let k = 0; k < turns; k++) {
    memory.integers(places, PLACES).set(placesOf(size, (2 * Math.PI * k) / turns));
    memory.run.reduced(shown, shown + 12 * mask.length, places, cells, SEEN);
    memory.run.drawnIn(cells, RIM);
    // What shows too little of a face to tell its light from its print is not seen.
    const told = takeSmoothLight(memory, cells, LOOK_SIDE);
    const own = all.subarray(k * 4 * CELLS, (k + 1) * 4 * CELLS);
    if (told) own.set(memory.floats(cells, 4 * CELLS));
    turned.push(listed(own));
  }
  return { face, slant, turned };
}

function listed(cells: Float32Array): ListedCells {
  const list = new Uint16Array(CELLS);
  let n = 0;
  for (let k = 0; k < CELLS; k++) if (cells[4 * k + 3] !== 0) list[n++] = k;
  return { cells, list: list.slice(0, n) };
}

/** Samples along each side of a cell, and how many of all must be seen. */
const SAMPLES = 3;
const SEEN = 7;
const PLACES = CELLS * SAMPLES * SAMPLES;
/** Rim of the seen cells that is left out, cells: a coarse pose lets the neighbours' light in. */
const RIM = 2;

/** Where the samples of each cell lie in a picture of a size turned by an angle, its pixels' indices; -1 outside. Kept: a set asks for the same few. */
const places = new Map<string, Int32Array>();
function placesOf(size: number, angle: number): Int32Array {
  const key = `${size} ${angle}`;
  let out = places.get(key);
  if (out) return out;
  if (places.size > 20) places.clear();
  out = new Int32Array(PLACES);
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

/** Correlation from which two looks are laid on each other more closely: a coarse pose puts a face up to a cell beside its place. */
const CLOSER = 0.25;
/** A cell itself and those beside it, as steps of its index. The rim of a look is never seen, so none leads into the next row. */
const SHIFTS: readonly number[] = [0, 1, -1, LOOK_SIDE, -LOOK_SIDE];

/**
 * Correlations of one photo's looks with those of others, -1 to 1: per other photo [(look * its looks + its look) * turns + turn], the first
 * photo's turned `turn` times; NaN where two share too little.
 *
 * Where they look alike at all, it is the greatest that a shift by a cell, and by less as parabolas through the neighbours tell, can give.
 */
export function likenesses(
  looks: readonly FaceLook[],
  others: readonly (readonly FaceLook[])[],
  turns: number,
): Float64Array[] {
  if (others.length === 0) return [];
  const memory = faceMemory();
  const firsts = looks.flatMap(({ turned }) => turned.slice(0, turns));
  const most = Math.max(...others.map((other) => other.length));
  const room = memory.room((firsts.length + most) * LAID);
  const laidFirsts = layAll(memory, firsts, room);
  const beside = room + firsts.length * LAID;
  const out: Float64Array[] = [];
  for (const other of others) {
    const seconds = layAll(
      memory,
      other.map(({ turned }) => turned[0]!),
      beside,
    );
    out.push(likenessesOf(memory, laidFirsts, seconds, turns));
  }
  return out;
}

/** Of the first photo's looks, `turns` of each in a row, with one other's. */
function likenessesOf(
  memory: FaceMemory,
  firsts: readonly Laid[],
  seconds: readonly Laid[],
  turns: number,
): Float64Array {
  const out = new Float64Array(firsts.length * seconds.length);
  for (let a = 0, at = 0; a < firsts.length; a += turns)
    for (let b = 0; b < seconds.length; b++)
      for (let k = 0; k < turns; k++) out[at++] = likeness(memory, firsts[a + k]!, seconds[b]!);
  return out;
}

/** Bytes of a look in the memory: its cells, and the list of those that are seen. */
const LISTED = 16 * CELLS;
const LAID = LISTED + 2 * CELLS;

/** Where a look lies, and how many of its cells are seen. */
interface Laid {
  readonly at: number;
  readonly count: number;
}

function layAll(memory: FaceMemory, looks: readonly ListedCells[], room: number): Laid[] {
  const out: Laid[] = [];
  for (let i = 0; i < looks.length; i++) out.push(lay(memory, looks[i]!, room + i * LAID));
  return out;
}

function lay(memory: FaceMemory, { cells, list }: ListedCells, at: number): Laid {
  memory.floats(at, cells.length).set(cells);
  memory.bytes(at + LISTED, list.byteLength).set(new Uint8Array(list.buffer, list.byteOffset, list.byteLength));
  return { at, count: list.length };
}

function likeness(memory: FaceMemory, p: Laid, q: Laid): number {
  const straight = correlation(memory, p, q, 0);
  if (!(straight > CLOSER)) return straight;
  const known = new Float64Array(SHIFTS.length);
  let best = 0;
  for (let d = 0; d < SHIFTS.length; d++) {
    known[d] = d === 0 ? straight : correlation(memory, p, q, SHIFTS[d]!);
    if (known[d]! > known[best]!) best = d;
  }
  const shift = SHIFTS[best]!;
  const most = known[best]!;
  const left = lookedUp(memory, p, q, shift - 1, known);
  const across = rise(left, most, lookedUp(memory, p, q, shift + 1, known));
  const above = lookedUp(memory, p, q, shift - LOOK_SIDE, known);
  const along = rise(above, most, lookedUp(memory, p, q, shift + LOOK_SIDE, known));
  return Math.min(1, most + across + along);
}

/** Correlation at a shift, looked up where it is known. */
function lookedUp(memory: FaceMemory, p: Laid, q: Laid, shift: number, known: Float64Array): number {
  const d = SHIFTS.indexOf(shift);
  return d < 0 ? correlation(memory, p, q, shift) : known[d]!;
}

/** How far a parabola through three values rises over the middle one, that being the greatest; else 0. */
function rise(before: number, middle: number, after: number): number {
  const bent = 2 * middle - before - after;
  return middle >= before && middle >= after && bent > 1e-6 ? (after - before) ** 2 / (8 * bent) : 0;
}

/** Correlation over the cells that both show, the second shifted by a step of its index. */
const correlation = ({ run }: FaceMemory, p: Laid, q: Laid, shift: number): number =>
  run.correlation(p.at, p.at + LISTED, p.count, q.at, shift, CELLS_NEEDED);
