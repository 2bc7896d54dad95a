import { expect, test } from 'vitest';
import type { OutlineCurve } from '../src/geometry/outline.ts';
import { segmentsOf, type Segments } from '../src/geometry/segments.ts';
import { seededRandom } from '../src/maths/random.ts';
import { BAND, bandPixels } from '../src/vision/band.ts';
import { edgeMemory, PIXEL, SEEN } from '../src/vision/edge-memory.ts';
import type { Crop } from '../src/vision/picture.ts';

/** A circle's outline, a sample a px, whose second half counts as straight. */
function circle(cx: number, cy: number, radius: number): OutlineCurve {
  const count = Math.round(2 * Math.PI * radius);
  const way = Array.from({ length: count }, (_, k) => (2 * Math.PI * (k + 0.3)) / count);
  const normal = Float64Array.from(way.flatMap((a) => [Math.cos(a), Math.sin(a)]));
  return {
    ...{ count, step: (2 * Math.PI * radius) / count, normal },
    xy: normal.map((v, i) => (i % 2 === 0 ? cx : cy) + radius * v),
    ball: Int32Array.from(way, (_, k) => (2 * k < count ? 0 : -1)),
  };
}

function cropOf(left: number, top: number, width: number, height: number, channels: 3 | 4): Crop {
  const random = seededRandom(width + height);
  const data = Uint8Array.from({ length: width * height * channels }, () => 256 * random());
  return { left, top, width, height, channels, data };
}

interface Claimed {
  sample: number;
  aside: number;
  readonly x: number;
  readonly y: number;
}

/** The pixels of the band in the order in which samples ask for them, and the sample that each lies straight out from. */
function claimedPlainly(crop: Crop, curve: OutlineCurve, { of }: Segments, every: number): Claimed[] {
  const all = new Map<number, Claimed>();
  for (let k = 0; k < curve.count; k++) {
    if (of[k]! < 0 || of[k]! % every !== 0) continue;
    const cx = curve.xy[2 * k]! - crop.left;
    const cy = curve.xy[2 * k + 1]! - crop.top;
    const [nx, ny] = [curve.normal[2 * k]!, curve.normal[2 * k + 1]!];
    for (let s = -BAND.inside; s <= BAND.outside; s += 0.6)
      for (const t of [-0.4, 0.4]) {
        const x = Math.floor(cx + s * nx - t * ny + 0.5);
        const y = Math.floor(cy + s * ny + t * nx + 0.5);
        if (x < 0 || y < 0 || x >= crop.width || y >= crop.height) continue;
        const aside = Math.abs((y - cy) * nx - (x - cx) * ny);
        const known = all.get(y * crop.width + x);
        if (!known) all.set(y * crop.width + x, { sample: k, aside: Math.fround(aside), x, y });
        else if (aside < known.aside) [known.sample, known.aside] = [k, Math.fround(aside)];
      }
  }
  return [...all.values()];
}

const PLANE = [0.2, 0.7, 0.1] as const;

// The first lies within its crop, others beyond one or more sides of it; room grows from one to the next, and is used again.
test.each([
  { crop: cropOf(100, 200, 90, 80, 3), at: [143.2, 241.7, 21.3], every: 1 },
  { crop: cropOf(100, 200, 90, 80, 4), at: [143.2, 241.7, 21.3], every: 2 },
  { crop: cropOf(0, 0, 70, 150, 3), at: [5.5, 60.1, 40.9], every: 1 },
  { crop: cropOf(30, 10, 300, 260, 4), at: [180.3, 133.9, 130.2], every: 4 },
  { crop: cropOf(100, 200, 40, 30, 3), at: [120.2, 215.4, 18.6], every: 1 },
  { crop: cropOf(0, 0, 60, 60, 3), at: [200, 200, 20], every: 1 },
] as const)('a band of radius $at.2, one segment in $every, to the last bit', ({ crop, at: [u, v, radius], every }) => {
  const curve = circle(u, v, radius);
  const segments = segmentsOf(curve);
  const curvature = new Float64Array(curve.count).map((_, k) => 1 / (radius + k));
  const plain = claimedPlainly(crop, curve, segments, every);
  const band = bandPixels(crop, PLANE, curve, segments, curvature, every);
  expect(band.start[segments.count]).toBe(plain.length);
  for (let segment = 0; segment < segments.count; segment++) {
    const own = plain.filter(({ sample }) => segments.of[sample] === segment);
    const [from, to] = [band.start[segment]!, band.start[segment + 1]!];
    const of = <T>(value: (pixel: Claimed) => T): T[] => own.map((pixel) => value(pixel));
    const shown = ({ x, y }: Claimed): number[] => [
      ...crop.data.subarray((y * crop.width + x) * crop.channels).subarray(0, 3),
    ];
    const s = of(({ x, y, sample: k }) =>
      Math.fround(
        (x + crop.left - curve.xy[2 * k]!) * curve.normal[2 * k]! +
          (y + crop.top - curve.xy[2 * k + 1]!) * curve.normal[2 * k + 1]!,
      ),
    );
    expect([...band.s.subarray(from, to)]).toEqual(s);
    const colours = of(shown);
    const y = colours.map(([r, g, b]) => Math.fround(PLANE[0] * r! + PLANE[1] * g! + PLANE[2] * b!));
    expect([...band.y.subarray(from, to)]).toEqual(y);
    const { run, LEVELS, PIXELS } = edgeMemory();
    run.levels(from, to, -2.5, 1.75);
    const sums = (told: (s: number) => boolean): number[] =>
      colours.reduce((sum, c, m) => (told(s[m]!) ? [...c, 1].map((v, i) => sum[i]! + v) : sum), [0, 0, 0, 0]);
    expect([...LEVELS]).toEqual([...sums((d) => d < -2.5), ...sums((d) => d > 1.75)]);
    run.takePixels(from, to, 0.7);
    const taken = own.flatMap(({ sample }, m) => [s[m]!, y[m]!, curvature[sample]! * 0.7]);
    expect([...PIXELS.subarray(0, taken.length)]).toEqual(taken);
  }
});

test('what pixels well inside and well outside leave over is kept, segment after segment', () => {
  const curve = circle(40, 40, 20);
  const crop = cropOf(0, 0, 80, 80, 3);
  bandPixels(crop, PLANE, curve, segmentsOf(curve), new Float64Array(curve.count), 1);
  const { run, PIXELS, SEEN_PIXELS, LOCAL } = edgeMemory();
  const random = seededRandom(5);
  const [inside, outside]: [number[], number[]] = [[], []];
  LOCAL[0] = 0.4;
  run.forgetResiduals();
  for (const count of [30, 1, 77]) {
    for (let m = 0; m < count; m++) {
      const [distance, residual] = [10 * random() - 5, random() - 0.5];
      PIXELS[PIXEL * m] = distance;
      SEEN_PIXELS[SEEN * m] = residual;
      if (distance - 0.4 < -1.5) inside.push(Math.fround(Math.abs(residual)));
      else if (distance - 0.4 > 1.5) outside.push(Math.fround(Math.abs(residual)));
    }
    run.keepResiduals(count, 1.5);
  }
  const kept = (list: number, count: number): number[] => [...new Float32Array(run.memory.buffer, list, count)];
  expect(kept(run.INSIDE.value, run.INSIDE_KEPT.value)).toEqual(inside);
  expect(kept(run.OUTSIDE.value, run.OUTSIDE_KEPT.value)).toEqual(outside);
});

test('the upper median of sizes, many of them equal or far apart', () => {
  const curve = circle(40, 40, 20);
  bandPixels(cropOf(0, 0, 80, 80, 3), PLANE, curve, segmentsOf(curve), new Float64Array(curve.count), 1);
  const { run } = edgeMemory();
  for (const count of [1, 2, 3, 30, 501, 1400])
    for (const scale of [0, 1e-30, 0.01, 3, 200]) {
      const random = seededRandom(count);
      const sizes = Float32Array.from({ length: count }, () => Math.ceil(40 * random()) * (scale * random()) ** 2);
      new Float32Array(run.memory.buffer, run.INSIDE.value, count).set(sizes);
      expect(run.upperMedian(run.INSIDE.value, count)).toBe(sizes.sort()[count >> 1]);
    }
});
