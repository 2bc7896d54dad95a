import { CARD } from '../geometry/card.ts';
import { boxAround, contains, drawnIn } from '../geometry/polygon.ts';
import type { CardMap } from './card-map.ts';
import { LUMA, type Picture } from './picture.ts';
import type { ToneCurve } from './tone.ts';

/** Light of the card and what lies round it, by places on the card, over the bare stage's: what a die's rounded rim mirrors. */
export interface StageLight {
  readonly columns: number;
  readonly rows: number;
  /** Row by row from the corner of least x and y; NaN where the die stands before it or the picture ends. */
  readonly light: Float32Array;
  /** Light of the bare stage. */
  readonly bare: number;
}

export const STAGE_LIGHT = {
  /** Distance between neighbouring cells, mm: a polished plastic's lobe is wider where it meets the stage. */
  step: 1.5,
  /** How far round the card is looked, mm. */
  beyond: 12,
  /** What lies this near to the die's rough outline is half the die, px. */
  clear: 8,
} as const;

const { step, beyond, clear } = STAGE_LIGHT;
const LEFT = -CARD.width / 2 - beyond;
const BOTTOM = -CARD.height / 2 - beyond;

const COLUMNS = Math.floor((CARD.width + 2 * beyond) / step) + 1;
const ROWS = Math.floor((CARD.height + 2 * beyond) / step) + 1;

/** Pixels of a cell that are looked at. */
const NINE = 9;

/** Where the first of the nine pixels of each cell of a row stands in the picture, -1 where none does; and what the last cells' first bytes held. */
const firsts = new Int32Array(COLUMNS + 1);

/**
 * Looks at the card cell by cell.
 *
 * @param stage    Display values of the bare stage, per channel.
 * @param outline  The die's rough outline, [u, v] per point, px.
 */
export function stageLight(
  picture: Picture,
  map: CardMap,
  stage: readonly number[],
  outline: Float64Array,
  tone: ToneCurve,
): StageLight {
  const light = new Float32Array(COLUMNS * ROWS).fill(NaN);
  const [red, green, blue] = LUMA;
  const bare = red * tone.toLight(stage[0]!) + green * tone.toLight(stage[1]!) + blue * tone.toLight(stage[2]!);
  const die = drawnIn(outline, -clear);
  const box = boxAround(die);
  const lights = lightsOfSums(tone);
  for (let row = 0; row < ROWS; row++) {
    placeCells(picture, map, die, box, row);
    touchCells(picture);
    fillCells(light, picture, lights, bare, row);
  }
  return { columns: COLUMNS, rows: ROWS, light, bare };
}

function placeCells(
  { width, height, channels }: Picture,
  map: CardMap,
  die: readonly number[],
  box: ReturnType<typeof boxAround>,
  row: number,
): void {
  for (let column = 0; column < COLUMNS; column++) {
    firsts[column] = -1;
    const [u, v] = map.at(LEFT + column * step, BOTTOM + row * step);
    if (!(u >= 1 && v >= 1 && u < width - 2 && v < height - 2)) continue;
    if (u >= box.left && u <= box.right && v >= box.top && v <= box.bottom && contains(die, u, v)) continue;
    firsts[column] = ((Math.round(v) - 1) * width + Math.round(u) - 1) * channels;
  }
}

/** Asks for the three rows of all cells at once: each lies in another part of the memory, and is waited for else one after the other. */
function touchCells({ data, width, channels }: Picture): void {
  const down = width * channels;
  let seen = 0;
  for (let column = 0; column < COLUMNS; column++) {
    const p = firsts[column]!;
    if (p >= 0) seen |= data[p]! | data[p + down]! | data[p + 2 * down]!;
  }
  // Else nobody would look.
  firsts[COLUMNS] = seen;
}

function fillCells(
  light: Float32Array,
  { data, width, channels }: Picture,
  lights: Float64Array,
  bare: number,
  row: number,
): void {
  const [red, green, blue] = LUMA;
  const down = width * channels;
  for (let column = 0, k = row * COLUMNS; column < COLUMNS; column++, k++) {
    const first = firsts[column]!;
    if (first < 0) continue;
    let r = 0;
    let g = 0;
    let b = 0;
    for (let y = 0, p = first; y < 3; y++, p += down) {
      const q = p + channels;
      const s = q + channels;
      r += data[p]! + data[q]! + data[s]!;
      g += data[p + 1]! + data[q + 1]! + data[s + 1]!;
      b += data[p + 2]! + data[q + 2]! + data[s + 2]!;
    }
    light[k] = (red * lights[r]! + green * lights[g]! + blue * lights[b]!) / bare;
  }
}

/** Light by the sum of nine display values: grain of one pixel is more than what is sought, and their sum is whole. */
function lightsOfSums(tone: ToneCurve): Float64Array {
  const out = new Float64Array(NINE * 255 + 1);
  for (let sum = 0; sum < out.length; sum++) out[sum] = tone.toLight(sum / NINE);
  return out;
}

/** Light at a place of the card, mm, between the cells that are known; NaN where none is. */
export function lightOn({ columns, rows, light }: StageLight, x: number, y: number): number {
  const p = (x - LEFT) / step;
  const q = (y - BOTTOM) / step;
  const column = Math.floor(p);
  const row = Math.floor(q);
  if (!(column >= 0 && row >= 0 && column < columns - 1 && row < rows - 1)) return NaN;
  let sum = 0;
  let weight = 0;
  for (let b = 0; b < 2; b++)
    for (let a = 0; a < 2; a++) {
      const v = light[(row + b) * columns + column + a]!;
      const w = (a === 0 ? column + 1 - p : p - column) * (b === 0 ? row + 1 - q : q - row);
      if (Number.isNaN(v)) continue;
      sum += w * v;
      weight += w;
    }
  return weight > 0.05 ? sum / weight : NaN;
}
