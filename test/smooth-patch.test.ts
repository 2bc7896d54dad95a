import { expect, test } from 'vitest';
import { seededRandom } from '../src/maths/random.ts';
import { lumaPatch, type Patch, type Picture } from '../src/vision/picture.ts';
import { SmoothPatch, type Ellipse } from '../src/vision/smooth-patch.ts';

const random = seededRandom(3);
const picture: Picture = {
  width: 101,
  height: 87,
  channels: 3,
  data: Uint8Array.from({ length: 3 * 101 * 87 }, () => 256 * random()),
};

const clamped = (k: number, count: number): number => Math.min(count - 1, Math.max(0, k));

/** Each sum in the order of its terms: the middle, then the pairs from the next ones on. */
function smoothedPlainly({ width: w, height: h, data }: Patch, sigma: number): Float32Array {
  if (sigma < 0.3) return data;
  const reach = Math.ceil(3 * sigma);
  const bell = Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-((i - reach) ** 2) / (2 * sigma ** 2)));
  const total = bell.reduce((sum, v) => sum + v, 0);
  const kernel = bell.map((v) => v / total);
  const pass = (from: Float32Array, dx: number, dy: number): Float32Array =>
    from.map((_, k) => {
      const at = (j: number): number =>
        from[clamped(Math.floor(k / w) + j * dy, h) * w + clamped((k % w) + j * dx, w)]!;
      let sum = kernel[reach]! * at(0);
      for (let j = 1; j <= reach; j++) sum += kernel[reach + j]! * (at(-j) + at(j));
      return sum;
    });
  return pass(pass(data, 1, 0), 0, 1);
}

function sumsPlainly({ left, top, width: w }: Patch, d: Float32Array, x: number, y: number, e: Ellipse): number[] {
  const sums = [0, 0, 0, 0, 0];
  for (let j = Math.ceil(y - e.height); j <= y + e.height; j++)
    for (let i = Math.ceil(x - e.width); i <= x + e.width; i++) {
      const [dx, dy, k] = [i - x, j - y, (j - top) * w + i - left];
      const weight = 1 - e.yy * dy * dy - dx * (e.xx * dx + 2 * e.xy * dy);
      if (weight <= 0) continue;
      const [a, b, c, f] = [d[k - w - 1]!, d[k - w + 1]!, d[k + w - 1]!, d[k + w + 1]!];
      const gx = 2 * (d[k + 1]! - d[k - 1]!) + b + f - a - c;
      const gy = 2 * (d[k + w]! - d[k - w]!) + c + f - a - b;
      const [xx, xy, yy] = [gx * gx, gx * gy, gy * gy].map((v) => weight * Math.fround(v)) as [number, number, number];
      [xx, xy, yy, xx * dx + xy * dy, xy * dx + yy * dy].forEach((v, s) => (sums[s]! += v));
    }
  return sums;
}

function halfTurnPlainly({ left, top, width: w }: Patch, d: Float32Array, x: number, y: number, e: Ellipse): number[] {
  const sums = [0, 0, 0, 0];
  for (let j = Math.ceil(y - e.height); j <= y + e.height; j++)
    for (let i = Math.ceil(x - e.width); i <= x + e.width; i++) {
      const [dx, dy] = [i - x, j - y];
      if (1 - e.xx * dx * dx - 2 * e.xy * dx * dy - e.yy * dy * dy <= 0) continue;
      const [u, v] = [2 * x - i - left, 2 * y - j - top];
      const [a, b, k] = [u - Math.floor(u), v - Math.floor(v), Math.floor(v) * w + Math.floor(u)];
      const upper = (1 - a) * d[k]! + a * d[k + 1]!;
      const lower = (1 - a) * d[k + w]! + a * d[k + w + 1]!;
      const value = d[(j - top) * w + i - left]!;
      const difference = value - ((1 - b) * upper + b * lower);
      [1, value, value * value, difference * difference].forEach((v, s) => (sums[s]! += v));
    }
  return sums;
}

// Lanes take two or four pixels at once.
test.each([
  [0.2, 9, 9],
  [0.35, 10, 13],
  [0.6, 11, 8],
  [0.9, 14, 31],
  [1, 40, 17],
  [2.5, 9, 12],
])(
  'a window smoothed by %f px of %i x %i, and its gradients, are those of plain loops to the last bit',
  (sigma, w, h) => {
    for (const [x0, y0] of [
      [0, 0],
      [13.3, 20.7],
      [101 - w, 87 - h],
    ] as const) {
      const plain = lumaPatch(picture, x0, y0, x0 + w - 2, y0 + h - 2);
      const own = new SmoothPatch(picture, x0, y0, x0 + w - 2, y0 + h - 2, sigma);
      const { left, top, width, height } = plain;
      expect([own.left, own.top, own.width, own.height]).toEqual([left, top, width, height]);
      const smooth = smoothedPlainly(plain, sigma);
      expect(own.data.slice(0, width * height)).toEqual(smooth);
      const [x, y] = [left + (width - 1) / 2 + 0.21 * random(), top + (height - 1) / 2 - 0.21 * random()];
      const reach = { width: width / 2 - 1.9 - random(), height: height / 2 - 1.9 - random() };
      const ellipse = { xx: 1 / reach.width ** 2, xy: 0.001, yy: 1 / reach.height ** 2, ...reach, short: 1 };
      const at = own.gradientSums(x, y, ellipse);
      expect([...own.doubles.subarray(at, at + 5)]).toEqual(sumsPlainly(plain, smooth, x, y, ellipse));
      const turned = own.halfTurnSums(x, y, ellipse);
      expect([...own.doubles.subarray(turned, turned + 4)]).toEqual(halfTurnPlainly(plain, smooth, x, y, ellipse));
    }
  },
);
