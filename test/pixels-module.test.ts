import { readFile } from 'node:fs/promises';
import { expect, test } from 'vitest';
import { ASSEMBLED, assembledText } from '../config/assembled.ts';
import { median } from '../src/maths/linear.ts';
import { seededRandom } from '../src/maths/random.ts';
import { EdgePixels, type Band } from '../src/vision/edge-pixels.ts';
import { darkerThanAround } from '../src/vision/local-threshold.ts';
import { maskOf } from '../src/vision/mask.ts';
import { LUMA, type Picture } from '../src/vision/picture.ts';
import { reducedGrey } from '../src/vision/reduced-grey.ts';
import { StagePlanes } from '../src/vision/stage-planes.ts';
import { reduced, type Window } from '../src/vision/stage-window.ts';

test('the module kept is what its source makes', async () => {
  const { path, text } = await assembledText(ASSEMBLED.pixels);
  expect(await readFile(path, 'utf8')).toBe(text);
});

/** Grain round a level. */
function grainOf(length: number, seed: number, level = 128, spread = 255): Uint8Array {
  const random = seededRandom(seed);
  return Uint8Array.from({ length }, () => level + spread * (random() - 0.5));
}

const clamped = (k: number, count: number): number => Math.min(count - 1, Math.max(0, k));

/** Equal to the last bit; of long lists quicker than telling how they differ. */
function expectSame(own: ArrayBufferView, plain: ArrayBufferView): void {
  const [a, b] = [own, plain].map((list) => Buffer.from(list.buffer, list.byteOffset, list.byteLength));
  expect(Buffer.compare(a!, b!)).toBe(0);
}

/** What `darkerThanAround` promises, box by box. */
function darkPlainly(data: Uint8Array, w: number, h: number, block: number, offset: number): Int8Array {
  const out = new Int8Array((w + 2) * (h + 2));
  const reach = block >> 1;
  for (let y = 0; y < h; y++)
    for (let x = 0; x < w; x++) {
      let sum = 0;
      for (let j = y - reach; j <= y + reach; j++)
        for (let i = x - reach; i <= x + reach; i++) sum += data[w * clamped(j, h) + clamped(i, w)]!;
      if (Math.round(sum / block ** 2) - data[y * w + x]! >= offset) out[(y + 1) * (w + 2) + x + 1] = 1;
    }
  return out;
}

// Rows are marked 128 at a time, and 16 pixels of a row; the wide one makes the memory grow.
test.each([
  [1, 1, 25, 6],
  [7, 300, 25, 6],
  [16, 40, 3, 0],
  [33, 128, 25, 14],
  [45, 129, 71, 6],
  [3000, 5, 5, 6],
  [64, 257, 9, 1],
] as const)('dark pixels of %i x %i by boxes of %i', (w, h, block, offset) => {
  for (const spread of [8, 40, 255]) {
    const data = grainOf(w * h, w + spread, 128, spread);
    const own = darkerThanAround(data, w, h, block, offset);
    expectSame(own, darkPlainly(data, w, h, block, offset));
  }
});

/** A picture of grain whose bytes lie as they come, shared or not, clamped or not. */
function pictureOf(width: number, height: number, channels: 3 | 4, kind: number): Picture {
  const grain = grainOf(width * height * channels, kind);
  const begins = kind % 3;
  const length = grain.length + begins;
  const buffer = (kind % 2 ? new SharedArrayBuffer(length) : new ArrayBuffer(length)) as ArrayBuffer;
  const data = new (kind % 4 < 2 ? Uint8Array : Uint8ClampedArray)(buffer, begins);
  data.set(grain);
  return { width, height, channels, data };
}

/** Sum of the four pixels of one channel that stand for a block. */
function fourOf({ data, width, channels }: Picture, x: number, y: number, step: number, channel: number): number {
  let sum = 0;
  for (const dy of [0, step])
    for (const dx of [0, step]) sum += data[((y + dy) * width + x + dx) * channels + channel]!;
  return sum;
}

// Lanes take 8 or 16 blocks at a time.
test.each([
  [3, 1, 37],
  [4, 1, 16],
  [3, 2, 67],
  [4, 2, 33],
  [3, 3, 100],
  [4, 5, 91],
  [3, 12, 250],
] as const)('green of pictures of %i channels, a block of %i', (channels, factor, width) => {
  for (let kind = 0; kind < 6; kind++) {
    const picture = pictureOf(width + kind, 41, channels, kind);
    const grey = reducedGrey(picture, factor);
    expect([grey.width, grey.height]).toEqual([Math.floor((width + kind) / factor), Math.floor(41 / factor)]);
    const plain = grey.data.map((_, k) => {
      const [x, y] = [factor * (k % grey.width), factor * Math.floor(k / grey.width)];
      const step = factor >> 1;
      return fourOf(picture, x, y, step, 1) >> 2;
    });
    expectSame(grey.data, plain);
  }
});

function planesPlainly(picture: Picture, { x0, y0, w, h, factor }: Window): readonly Int16Array[] {
  const step = Math.max(1, factor >> 1);
  return [0, 1, 2].map((c) =>
    Int16Array.from({ length: w * h }, (_, k) =>
      fourOf(picture, x0 + factor * (k % w), y0 + factor * Math.floor(k / w), step, c),
    ),
  );
}

function smoothedPlainly(plane: Int16Array, w: number, h: number): Int16Array {
  return plane.map((here, k) => {
    const [x, y] = [k % w, Math.floor(k / w)];
    if (x === 0 || y === 0 || x === w - 1 || y === h - 1) return here;
    let sum = 8;
    for (let j = -1; j <= 1; j++)
      for (let i = -1; i <= 1; i++) sum += (2 - Math.abs(i)) * (2 - Math.abs(j)) * plane[k + j * w + i]!;
    return sum >> 4;
  });
}

/** The largest squared gradient of the planes inside the border, 32 times Sobel's. */
function squaredPlainly(planes: readonly Int16Array[], rows: Int32Array, w: number, h: number): Int32Array {
  return Int32Array.from({ length: w * h }, (_, k) => {
    const [x, y] = [k % w, Math.floor(k / w)];
    if (x < Math.max(1, rows[2 * y]!) || x >= Math.min(w - 1, rows[2 * y + 1]!) || y === 0 || y === h - 1) return 0;
    const at = (p: Int16Array, i: number, j: number): number => p[k + j * w + i]!;
    const squares = planes.map((p) => {
      const dx = at(p, 1, -1) + 2 * at(p, 1, 0) + at(p, 1, 1) - at(p, -1, -1) - 2 * at(p, -1, 0) - at(p, -1, 1);
      const dy = at(p, -1, 1) + 2 * at(p, 0, 1) + at(p, 1, 1) - at(p, -1, -1) - 2 * at(p, 0, -1) - at(p, 1, -1);
      return dx * dx + dy * dy;
    });
    return Math.max(...squares);
  });
}

test.each([
  [3, 1, 8, 9],
  [4, 1, 21, 13],
  [3, 2, 32, 8],
  [4, 3, 19, 31],
  [3, 6, 47, 12],
] as const)('planes, gradients and steep places of %i channels, a block of %i, %i x %i', (channels, factor, w, h) => {
  for (let kind = 0; kind < 6; kind++) {
    const picture = pictureOf(w * factor + 9, h * factor + 7, channels, kind);
    const window = { x0: kind, y0: 2, w, h, factor };
    const rows = Int32Array.from({ length: 2 * h }, (_, k) => (k % 2 ? w - (k % 5) : k % 7));
    rows.set([0, 0], 6);
    let plain = planesPlainly(picture, window);
    reduced(picture, window).forEach((plane, c) => expectSame(plane, plain[c]!));
    const planes = new StagePlanes(picture, window, rows);
    for (let pass = 0; pass < 3; pass++) {
      planes.colours.forEach((plane, c) => expectSame(plane, plain[c]!));
      planes.usualGradient();
      const squared = squaredPlainly(plain, rows, w, h);
      expectSame(planes.squared, squared);
      const level = squared[w * 4 + 6]! + 0.5 * pass;
      const steep = planes.above(level);
      expectSame(
        steep,
        Uint8Array.from(squared, (v) => (v > level ? 255 : 0)),
      );
      expectSame(maskOf(steep, w, h).bits, bitsPlainly(steep, w, h));
      planes.smooth();
      plain = plain.map((plane) => smoothedPlainly(plane, w, h));
    }
  }
});

function bitsPlainly(cells: Uint8Array, w: number, h: number): Int32Array {
  const across = Math.ceil(w / 32);
  const bits = new Int32Array(across * h);
  cells.forEach((v, k) => {
    const x = k % w;
    if (v > 0) bits[across * Math.floor(k / w) + (x >> 5)]! |= 1 << (x & 31);
  });
  return bits;
}

test('the steepest edge there is does not run over', () => {
  const data = new Uint8Array(3 * 20 * 20);
  for (let k = 0; k < data.length; k++) if (Math.floor(k / 3) % 20 >= 10) data[k] = 255;
  const window = { x0: 0, y0: 0, w: 19, h: 19, factor: 1 };
  const rows = Int32Array.from({ length: 38 }, (_, k) => (k % 2 ? 19 : 0));
  const planes = new StagePlanes({ width: 20, height: 20, channels: 3, data }, window, rows);
  planes.usualGradient();
  expect(planes.squared[19 * 9 + 9]).toBe((4 * 4 * 255) ** 2);
});

const SORTING = { band: 6, plateau: 3, reach: 4, step: 0.25, bins: 33 } as const;

/** A band whose edge goes up and down by angles, in a box wider than it. */
function bandOf(k: number, width: number, height: number): Band {
  const [length, angle, side] = [17 + (k % 5), 0.05 + 0.61 * k, k % 2 ? 1 : -1];
  const [tx, ty] = [Math.cos(angle), Math.sin(angle)];
  const [ax, ay] = [width / 2 - (tx * length) / 2 + 0.3, height / 2 - (ty * length) / 2];
  const inPicture = { x0: k % 3, x1: width - 1, y0: k % 2, y1: height - 1 };
  return { ax, ay, tx, ty, nx: -side * ty, ny: side * tx, length, sag: 0.4 * Math.sin(k), ...inPicture };
}

/** The pixels of a band one by one: their distance from the edge, and luma. */
function besidePlainly({ data, width, channels }: Picture, band: Band): { d: number; luma: number }[] {
  const { ax, ay, tx, ty, nx, ny, length, sag } = band;
  const out: { d: number; luma: number }[] = [];
  for (let v = band.y0; v <= band.y1; v++)
    for (let u = band.x0; u <= band.x1; u++) {
      const t = ((u - ax) * tx + (v - ay) * ty) / length;
      const d = (u - ax) * nx + (v - ay) * ny - sag * 4 * t * (1 - t);
      const [r, g, b] = data.subarray((v * width + u) * channels);
      if (t >= 0 && t <= 1 && Math.abs(d) <= SORTING.band)
        out.push({ d, luma: LUMA[0] * r! + LUMA[1] * g! + LUMA[2] * b! });
    }
  return out;
}

test.each([3, 4] as const)('pixels beside edges in pictures of %i channels', (channels) => {
  for (let kind = 0; kind < 6; kind++) {
    const picture = pictureOf(41 + kind, 39, channels, kind);
    const pixels = new EdgePixels(picture, SORTING);
    const sums = new Float64Array(SORTING.bins);
    const counts = new Float64Array(SORTING.bins);
    for (let k = 0; k < 11; k++) {
      const band = bandOf(k, picture.width, picture.height);
      const plain = besidePlainly(picture, band);
      pixels.look(band);
      const light = plain.filter(({ d }) => d > SORTING.plateau).map(({ luma }) => luma);
      expect(pixels.black).toBe(median(plain.filter(({ d }) => d < -SORTING.plateau).map(({ luma }) => luma)));
      expect(pixels.white).toBe(median(light));
      const level = pixels.white;
      const below = light.filter((v) => v < level).length;
      expect(pixels.lightBelow(level, (below + 0.5) / light.length)).toBe(false);
      expect(pixels.lightBelow(level, (below - 0.5) / light.length)).toBe(true);
      pixels.add();
      const binned = plain
        .map(({ d, luma }) => ({ b: Math.round((d + SORTING.reach) / SORTING.step), luma }))
        .filter(({ b }) => b >= 0 && b < SORTING.bins);
      for (const { b, luma } of binned) {
        sums[b]! += luma;
        counts[b]! += 1;
      }
      expect(pixels.binned).toBe(binned.length);
    }
    for (let b = 0; b < SORTING.bins; b++) expect([pixels.sum(b), pixels.count(b)]).toEqual([sums[b], counts[b]]);
  }
});

test("an edge's pixels reach to a picture's last byte, and an edge may have none", () => {
  for (let kind = 0; kind < 6; kind++) {
    const picture = pictureOf(21, 15, 3, kind);
    const band = { ax: 16, ay: 10, tx: 0.6, ty: 0.8, nx: -0.8, ny: 0.6, length: 6, sag: 0 };
    // Light is what lies nowhere but in the last pixel.
    const pixels = new EdgePixels(picture, { ...SORTING, band: 20, plateau: -20 });
    pixels.look({ ...band, ax: 20, ay: 14, x0: 0, x1: 20, y0: 14, y1: 14, length: 0.5 });
    const last = picture.data.subarray(3 * (15 * 21 - 1));
    expect(pixels.white).toBe(LUMA[0] * last[0]! + LUMA[1] * last[1]! + LUMA[2] * last[2]!);
    pixels.look({ ...band, ax: 200, x0: 0, x1: 20, y0: 0, y1: 14 });
    expect([pixels.black, pixels.white, pixels.binned]).toEqual([NaN, NaN, 0]);
  }
});
