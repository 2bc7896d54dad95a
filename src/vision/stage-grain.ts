import { crossedAt, middleOf } from '../geometry/polygon.ts';
import { LUMA, type Crop } from './picture.ts';

/** Grain of the bare stage beside a die: standard deviations of luma's differences between pixels 1 and 6 px apart, over the square root of 2. */
export interface StageGrain {
  readonly fine: number;
  readonly coarse: number;
}

/** Where it is looked at: beyond this share of the die's outline, at one pixel in so many; the least that tells. */
const GRAIN = { beyond: 1.12, rows: 5, columns: 11, least: 300, far: 6 } as const;
/** What the root of the mean square is of without its largest tenth, for normal values. */
const OF_TRIMMED = 0.7893;

/** Room for the differences, kept from call to call. */
const roomOf = (values: number) => ({ fine: new Float64Array(values), coarse: new Float64Array(values) });
let room = roomOf(0);

/** Grain in a crop round a die; null where too little of the stage is in it. */
export function stageGrain(crop: Crop, outline: Float64Array): StageGrain | null {
  const { width, height, channels, left, top } = crop;
  const grown = grownBy(outline, GRAIN.beyond);
  const most = 2 * Math.ceil(height / GRAIN.rows) * Math.ceil(width / GRAIN.columns);
  if (room.fine.length < most) room = roomOf(most);
  const { fine, coarse } = room;
  const [right, down] = [channels, width * channels];
  let count = 0;
  for (let y = 1; y < height - GRAIN.far; y += GRAIN.rows) {
    const [from, to] = crossedAt(grown, y + top);
    for (let x = 1 + (y % GRAIN.columns); x < width - GRAIN.far; x += GRAIN.columns) {
      if (x + left >= from && x + left <= to) continue;
      const k = (y * width + x) * channels;
      const here = lumaAt(crop, k);
      fine[count] = Math.abs(lumaAt(crop, k + right) - here);
      coarse[count++] = Math.abs(lumaAt(crop, k + GRAIN.far * right) - here);
      fine[count] = Math.abs(lumaAt(crop, k + down) - here);
      coarse[count++] = Math.abs(lumaAt(crop, k + GRAIN.far * down) - here);
    }
  }
  if (count < GRAIN.least) return null;
  return { fine: trimmedRms(fine.subarray(0, count)), coarse: trimmedRms(coarse.subarray(0, count)) };
}

function grownBy(outline: Float64Array, by: number): number[] {
  const [cx, cy] = middleOf(outline);
  const out: number[] = [];
  for (let i = 0; i < outline.length; i += 2) out.push(cx + by * (outline[i]! - cx), cy + by * (outline[i + 1]! - cy));
  return out;
}

const lumaAt = ({ data }: Crop, k: number): number =>
  LUMA[0] * data[k]! + LUMA[1] * data[k + 1]! + LUMA[2] * data[k + 2]!;

/** Standard deviation behind differences of two, without the largest tenth: a speck or a line is no grain. They are put in order. */
function trimmedRms(differences: Float64Array): number {
  differences.sort();
  const kept = Math.floor(0.9 * differences.length);
  let squares = 0;
  for (let k = 0; k < kept; k++) squares += differences[k]! * differences[k]!;
  return Math.sqrt(squares / kept / 2) / OF_TRIMMED;
}

/**
 * By how much a smoothing spreads grain that makes neighbours so much alike: sigma of a Gaussian, px.
 *
 * White grain smoothed by it correlates by exp(-1 / 4 sigma^2) from pixel to pixel, and hardly at all over 6 px.
 */
export function grainBlur({ fine, coarse }: StageGrain): number {
  const alike = 1 - (fine / Math.max(1e-6, coarse)) ** 2;
  return alike <= 0.01 ? 0 : Math.sqrt(-1 / (4 * Math.log(Math.min(0.99, alike))));
}
