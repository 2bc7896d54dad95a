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

/** Grain in a crop round a die; null where too little of the stage is in it. */
export function stageGrain(crop: Crop, outline: Float64Array): StageGrain | null {
  const { data, width, height, channels, left, top } = crop;
  const [cx, cy] = middleOf(outline);
  const grown = Array.from(outline, (v, i) =>
    i % 2 === 0 ? cx + GRAIN.beyond * (v - cx) : cy + GRAIN.beyond * (v - cy),
  );
  const luma = (x: number, y: number): number => {
    const k = (y * width + x) * channels;
    return LUMA[0] * data[k]! + LUMA[1] * data[k + 1]! + LUMA[2] * data[k + 2]!;
  };
  const fine: number[] = [];
  const coarse: number[] = [];
  for (let y = 1; y < height - GRAIN.far; y += GRAIN.rows) {
    const [from, to] = crossedAt(grown, y + top);
    for (let x = 1 + (y % GRAIN.columns); x < width - GRAIN.far; x += GRAIN.columns) {
      if (x + left >= from && x + left <= to) continue;
      const here = luma(x, y);
      fine.push(Math.abs(luma(x + 1, y) - here), Math.abs(luma(x, y + 1) - here));
      coarse.push(Math.abs(luma(x + GRAIN.far, y) - here), Math.abs(luma(x, y + GRAIN.far) - here));
    }
  }
  return fine.length < GRAIN.least ? null : { fine: trimmedRms(fine), coarse: trimmedRms(coarse) };
}

/** Standard deviation behind differences of two, without the largest tenth: a speck or a line is no grain. */
function trimmedRms(differences: readonly number[]): number {
  const sorted = Float64Array.from(differences)
    .sort()
    .subarray(0, Math.floor(0.9 * differences.length));
  return Math.sqrt(sorted.reduce((s, v) => s + v * v, 0) / sorted.length / 2) / OF_TRIMMED;
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
