import { hypot2 } from '../maths/hypot.ts';
import { nth } from '../maths/linear.ts';
import { LUMA, type Crop } from '../vision/picture.ts';
import type { Added } from './look.ts';
import type { Survey } from '../vision/survey.ts';

/** What makes two photos one, encoded twice. */
export const SAME_SCENE = {
  /** Median distance of the card's points, px: no hand holds a camera so still, but a stand does. */
  points: 0.5,
  /** Fewest card points in common. */
  common: 12,
  /** Side of the blocks whose mean light is compared, px. */
  block: 4,
  /**
   * Display values by which all but one block in a hundred may differ, contrast and brightness fitted. Compression leaves some
   * 5; a die turned to another number differs by its numerals' contrast.
   */
  light: 12,
  share: 0.01,
} as const;

/** Pairs that were compared: with every photo that comes all those before it are asked about again. */
const compared = new WeakMap<Survey, WeakMap<Survey, boolean>>();

/** Whether two photos are the same shot, encoded anew: card and die at the same places, and the die's picture the same. */
export function sameScene(a: Added, b: Added): boolean {
  let known = compared.get(a.survey);
  if (!known) compared.set(a.survey, (known = new WeakMap()));
  let same = known.get(b.survey);
  if (same === undefined) known.set(b.survey, (same = isSame(a, b)));
  return same;
}

function isSame(a: Added, b: Added): boolean {
  if (a.survey.width !== b.survey.width || a.survey.height !== b.survey.height) return false;
  return pointsApart(a, b) < SAME_SCENE.points && alike(a.survey.crop, b.survey.crop);
}

/** Median distance of the card points that both show, px; Infinity where they are few. */
function pointsApart({ survey: { sight: p } }: Added, { survey: { sight: q } }: Added): number {
  const places = new Map<string, number>();
  for (let k = 0; k < q.card.length; k += 2) places.set(`${q.card[k]},${q.card[k + 1]}`, k);
  const apart: number[] = [];
  for (let k = 0; k < p.card.length; k += 2) {
    const at = places.get(`${p.card[k]},${p.card[k + 1]}`);
    if (at !== undefined) apart.push(hypot2(p.picture[k]! - q.picture[at]!, p.picture[k + 1]! - q.picture[at + 1]!));
  }
  return apart.length < SAME_SCENE.common ? Infinity : nth(Float64Array.from(apart), apart.length >> 1);
}

/** Whether two crops show the same where they overlap. */
function alike(a: Crop, b: Crop): boolean {
  const { block, light, share } = SAME_SCENE;
  const [left, top] = [Math.max(a.left, b.left), Math.max(a.top, b.top)];
  const right = Math.min(a.left + a.width, b.left + b.width);
  const bottom = Math.min(a.top + a.height, b.top + b.height);
  const pairs: (readonly [number, number])[] = [];
  for (let y = top; y + block <= bottom; y += block)
    for (let x = left; x + block <= right; x += block) pairs.push([meanLight(a, x, y), meanLight(b, x, y)]);
  if (pairs.length === 0) return false;
  const mean = (k: 0 | 1): number => pairs.reduce((s, p) => s + p[k], 0) / pairs.length;
  const [ma, mb] = [mean(0), mean(1)];
  const vary = pairs.reduce((s, [p]) => s + (p - ma) ** 2, 0);
  const slope = vary > 0 ? pairs.reduce((s, [p, q]) => s + (p - ma) * (q - mb), 0) / vary : 1;
  const unlike = pairs.filter(([p, q]) => Math.abs(q - mb - slope * (p - ma)) > light).length;
  return slope > 0.5 && unlike <= share * pairs.length;
}

function meanLight(c: Crop, x: number, y: number): number {
  const n = SAME_SCENE.block;
  let sum = 0;
  for (let v = y; v < y + n; v++)
    for (let u = x; u < x + n; u++) {
      const at = ((v - c.top) * c.width + u - c.left) * c.channels;
      for (let k = 0; k < 3; k++) sum += LUMA[k]! * c.data[at + k]!;
    }
  return sum / (n * n);
}
