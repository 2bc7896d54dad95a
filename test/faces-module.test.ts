import { readFile } from 'node:fs/promises';
import { describe, expect, test } from 'vitest';
import { ASSEMBLED, assembledText } from '../config/assembled.ts';
import { faceMemory } from '../src/faces/face-memory.ts';
import { GRID } from '../src/faces/reader/grid.ts';
import { withGrid } from '../src/faces/reader/held-grid.ts';
import { PATCH, PATCH_VALUES } from '../src/faces/reader/net.ts';
import { turnedPatch } from '../src/faces/reader/patch.ts';
import type { FaceGrid } from '../src/faces/reader/window.ts';
import { sampledLight } from '../src/faces/sampled-light.ts';
import { projection, type Camera } from '../src/geometry/camera.ts';
import type { Vec3 } from '../src/geometry/vec.ts';
import { seededRandom } from '../src/maths/random.ts';
import type { Crop } from '../src/vision/picture.ts';
import { SRGB } from '../src/vision/tone.ts';
import { coloursOf, withColours } from './face-colours.ts';

test('the module kept is what its source makes', async () => {
  const { path, text } = await assembledText(ASSEMBLED.faces);
  expect(await readFile(path, 'utf8')).toBe(text);
});

const random = seededRandom(11);

/** The first place at which two arrays are not the same to the last bit; -1 where there is none. */
function differing(a: Float32Array | null, b: Float32Array): number {
  if (a?.length !== b.length) return 0;
  const [p, q] = [a, b].map((v) => new Int32Array(v.buffer, v.byteOffset, v.length)) as [Int32Array, Int32Array];
  return p.findIndex((v, k) => v !== q[k]);
}

const PLACES = GRID * GRID;
const shade = (): number => random() - 0.3;
const some = (length: number, of: () => number): Float32Array => Float32Array.from({ length }, of);
/** A face on the grid with a hole in it, and colours there. */
const mask = Float32Array.from({ length: PLACES }, (_, k) => {
  const far = Math.hypot((k % GRID) - 30, Math.floor(k / GRID) - 33);
  return far < 29 && far > 2 ? 1 : 0;
});
const colours = some(3 * PLACES, shade).map((v, i) => v * mask[Math.floor(i / 3)]!);

test('light behind print: to the last bit what running means make of it one by one', () => {
  const [half, times, off, least] = [8, 3, 1.44, Math.fround(0.08)];
  const memory = withColours(colours, mask);
  memory.run.takeBackdrop(half, times, off, least);
  const spread = (of: Float32Array): Float32Array => {
    for (let t = 0; t < 2 * times; t++) {
      const [along, across] = t % 2 === 0 ? [1, GRID] : [GRID, 1];
      const before = of;
      of = new Float32Array(PLACES);
      for (let line = 0; line < GRID; line++)
        for (let k = 0, sum = 0; k < GRID + half; k++) {
          if (k < GRID) sum += before[line * across + k * along]!;
          if (k > 2 * half) sum -= before[line * across + (k - 2 * half - 1) * along]!;
          if (k >= half) of[line * across + (k - half) * along] = sum * (1 / (2 * half + 1));
        }
    }
    return of;
  };
  const channels = [0, 1, 2].map((c) => mask.map((_, k) => colours[3 * k + c]!));
  const less = (weight: Float32Array): number[][] => {
    const weights = spread(weight);
    return channels.map((v) => {
      const sums = spread(v.map((x, k) => x * weight[k]!));
      return Array.from(v, (x, k) => (mask[k] ? x - sums[k]! / weights[k]! : 0));
    });
  };
  const first = less(mask);
  const squares = mask.map((_, k) => first.reduce((s, v) => s + v[k]! ** 2, 0));
  const sum = mask.reduce((s, _, k) => s + first.reduce((t, v) => t + v[k]! ** 2, 0), 0);
  const limit = (off * sum) / mask.reduce((s, v) => s + v);
  expect(squares.some((v) => v > limit)).toBe(true);
  const left = less(mask.map((on, k) => (squares[k]! > limit ? least * on : on)));
  const plain = Float32Array.from(colours, (_, i) => left[i % 3]![Math.floor(i / 3)]!);
  expect(differing(coloursOf(memory, PLACES), plain)).toBe(-1);
});

test('sums of colours, and of those near skin, are added in their order', () => {
  const memory = withColours(colours, mask);
  const pairs = [0, 0, 0, 1, 0, 2, 1, 1, 1, 2, 2, 2];
  const mean = [0.1, 0.2, 0.3];
  const q = [9, 1, 2, 8, 0.5, 7];
  const square = (k: number): number => {
    const [a, b, c] = mean.map((m, e) => colours[3 * k + e]! - m) as [number, number, number];
    return a * (q[0]! * a + 2 * (q[1]! * b + q[2]! * c)) + b * (q[3]! * b + 2 * q[4]! * c) + q[5]! * c * c;
  };
  const sums = (every: number, weight: (k: number) => number): number[] => {
    const out = new Array<number>(11).fill(0);
    for (let k = 0; k < PLACES; k += every) {
      if (!mask[k]) continue;
      const w = weight(k);
      const v = colours.subarray(3 * k, 3 * k + 3);
      const terms = [1, w, ...Array.from(v, (x) => w * x)];
      for (let p = 0; p < 6; p++) terms.push(w * v[pairs[2 * p]!]! * v[pairs[2 * p + 1]!]!);
      terms.forEach((t, i) => (out[i]! += t));
    }
    return out;
  };
  const told = (length: number): number[] => [...memory.numbers('RESULTS', length)];
  memory.run.colourSums();
  expect(told(6)).toEqual(sums(1, () => 1).slice(5));
  memory.run.skinSums(3, false);
  expect(told(11)).toEqual(sums(3, () => 1));
  memory.tell(...mean, ...q);
  memory.run.skinSums(2, true);
  expect(told(11)).toEqual(sums(2, (k) => 4 / (1 + square(k))));
  memory.run.skinSquares();
  expect([...memory.numbers('SQUARES', PLACES)]).toEqual(Array.from(mask, (on, k) => (on ? square(k) : 0)));
  memory.run.alongWay(-1, ...([0.3, -0.6, 0.7] as const));
  const along = (k: number): number =>
    -(colours[3 * k]! * 0.3 + colours[3 * k + 1]! * -0.6 + colours[3 * k + 2]! * 0.7);
  expect(
    differing(
      memory.floats('VALUE', PLACES),
      mask.map((on, k) => (on ? along(k) : 0)),
    ),
  ).toBe(-1);
  expect(differing(memory.floats('MASK', PLACES), mask)).toBe(-1);
  expect([...memory.bytes('WHOLE', PLACES)]).toEqual(
    Array.from(mask, (on, k) => (on && mask[k + 1] && mask[k + GRID] && mask[k + GRID + 1] ? 1 : 0)),
  );
});

test.each([1, 2, 3])('roots of light on the grid, %i samples along a place', (sub) => {
  const [size, left, top, step] = [70, -3.3, 2.6, 1.13];
  const light = some(3 * size * size, random);
  const seen = Uint8Array.from({ length: size * size }, () => (random() < 0.93 ? 1 : 0));
  const memory = withColours(colours, mask);
  const at = memory.room(13 * seen.length);
  memory.floats(at, light.length).set(light);
  memory.bytes(at + 12 * seen.length, seen.length).set(seen);
  memory.run.gridded(size, at, at + 12 * seen.length, sub, left, top, step);
  const plain = new Float32Array(4 * PLACES);
  for (let k = 0; k < PLACES; k++) {
    const sums = [0, 0, 0];
    let n = 0;
    for (let q = 0; q < sub * sub; q++) {
      const x = left + ((k % GRID) + ((q % sub) + 0.5) / sub) * step - 0.5;
      const y = top + (Math.floor(k / GRID) + (Math.floor(q / sub) + 0.5) / sub) * step - 0.5;
      const [i, j] = [Math.floor(x), Math.floor(y)];
      if (i < 0 || j < 0 || i > size - 2 || j > size - 2) continue;
      const from = [0, 1, size, size + 1].map((d) => j * size + i + d);
      if (from.some((p) => seen[p] === 0)) continue;
      const [fx, fy] = [x - i, y - j];
      const share = [(1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy];
      n++;
      for (let c = 0; c < 3; c++) sums[c]! += from.map((p, d) => light[3 * p + c]! * share[d]!).reduce((s, v) => s + v);
    }
    if (2 * n >= sub * sub) plain.set([...sums.map((s) => Math.sqrt(s / n)), 1], 4 * k);
  }
  expect(differing(memory.floats('COLOURS', plain.length), plain)).toBe(-1);
});

test('means over three by three places, and sums within a circle', () => {
  const memory = withGrid({ value: mask.map((on) => on * shade()), off: mask, mask, whole: new Uint8Array(PLACES) });
  const value = memory.floats('HELD_VALUE', PLACES);
  memory.run.smoothed();
  const near = [-1, 0, 1].flatMap((j) => [-1, 0, 1].map((i) => j * GRID + i));
  const smooth = mask.map((on, k) => {
    const inner = k % GRID > 0 && k % GRID < GRID - 1 && k > GRID && k < PLACES - GRID;
    const sum = (of: Float32Array): number => near.reduce((s, d) => s + of[k + d]!, 0);
    return on && inner ? sum(value) / sum(mask) : 0;
  });
  expect(differing(memory.floats('SMOOTH', PLACES), smooth)).toBe(-1);
  const [x, y, reach] = [29.3, 34.1, 17.7];
  for (const of of [smooth, value]) {
    const sums = [0, 0, 0, 0];
    of.forEach((v, k) => {
      const [dx, dy] = [(k % GRID) - x, Math.floor(k / GRID) - y];
      if (mask[k] && dx * dx + dy * dy <= reach * reach) [1, v, v * v, v * v * v].forEach((t, i) => (sums[i]! += t));
    });
    memory.run.circleSums(of === smooth, x, y, reach);
    expect([...memory.numbers('RESULTS', 4)]).toEqual(sums);
  }
});

test('a patch, of whichever grid it is asked', () => {
  const gridOf = (): FaceGrid => ({
    ...{ value: some(PLACES, shade), off: some(PLACES, random), mask },
    whole: Uint8Array.from(mask, (on) => (on && random() < 0.9 ? 1 : 0)),
  });
  const window = { x: 30.2, y: 34.7, half: 27.1, sign: -1, mean: 0.21, spread: 0.04 };
  const plain = ({ value, off, whole }: FaceGrid, turn: number): Float32Array => {
    const out = new Float32Array(PATCH_VALUES);
    const step = (2 * window.half) / PATCH;
    const [c, s] = [step * Math.cos((turn * Math.PI) / 180), step * Math.sin((turn * Math.PI) / 180)];
    for (let k = 0; k < PATCH * PATCH; k++) {
      let [sum, departed] = [0, 0];
      for (const [u, v] of [
        [0, 0],
        [0.5, 0],
        [0, 0.5],
        [0.5, 0.5],
      ] as const) {
        const [right, down] = [(k % PATCH) + u + 0.25 - PATCH / 2, Math.floor(k / PATCH) + v + 0.25 - PATCH / 2];
        const [x, y] = [window.x + c * right + s * down, window.y - s * right + c * down];
        const [i, j] = [Math.floor(x), Math.floor(y)];
        const p = j * GRID + i;
        if (i < 0 || j < 0 || i > GRID - 2 || j > GRID - 2 || whole[p] === 0) continue;
        const [fx, fy] = [x - i, y - j];
        const between = (of: Float32Array): number =>
          (of[p]! * (1 - fx) + of[p + 1]! * fx) * (1 - fy) + (of[p + GRID]! * (1 - fx) + of[p + GRID + 1]! * fx) * fy;
        sum += between(value) - window.mean;
        departed += between(off);
      }
      out[2 * k] = Math.max(-3, Math.min(3, sum * (window.sign / window.spread / 4)));
      out[2 * k + 1] = departed / 4;
    }
    return out;
  };
  const grids = [gridOf(), gridOf()];
  for (const turn of [0, 36, 205])
    for (const grid of grids) {
      const out = new Float32Array(2 * PATCH_VALUES);
      turnedPatch(grid, window, turn, out, PATCH_VALUES);
      expect(differing(out.subarray(PATCH_VALUES), plain(grid, turn))).toBe(-1);
      expect(out.subarray(0, PATCH_VALUES).every((v) => v === 0)).toBe(true);
    }
});

describe('looks', () => {
  const side = 32;
  const cellsOf = (): Float32Array =>
    Float32Array.from({ length: 4 * side * side }, (_, i) => {
      const [x, y] = [Math.floor(i / 4) % side, Math.floor(i / 4 / side)];
      return i % 4 < 3 ? shade() : Math.hypot(x - 15, y - 16) < 12 && random() < 0.9 ? 1 : 0;
    });

  test('correlate to the last bit as their cells one after the other do', () => {
    const [p, q] = [cellsOf(), cellsOf()];
    const list = Uint16Array.from(Array.from({ length: side * side }, (_, k) => k).filter((k) => p[4 * k + 3] === 1));
    const memory = faceMemory();
    const at = memory.room(36 * side * side);
    memory.floats(at, p.length).set(p);
    memory.floats(at + 16 * side * side, q.length).set(q);
    const listed = at + 32 * side * side;
    memory.bytes(listed, list.byteLength).set(new Uint8Array(list.buffer));
    for (const shift of [0, 1, -1, side, -side, side + 1]) {
      const sums = [0, 0, 0, 0] as [number, number, number, number];
      for (const k of list) {
        const r = k + shift;
        if (q[4 * r + 3] === 0) continue;
        sums[3]++;
        for (let c = 0; c < 3; c++) {
          sums[0] += p[4 * k + c]! * q[4 * r + c]!;
          sums[1] += p[4 * k + c]! ** 2;
          sums[2] += q[4 * r + c]! ** 2;
        }
      }
      const asked = (needed: number): number =>
        memory.run.correlation(at, listed, list.length, at + 16 * side * side, shift, needed);
      expect(asked(sums[3])).toBe(sums[0] / Math.sqrt(sums[1] * sums[2]));
      expect(asked(sums[3] + 1)).toBeNaN();
    }
  });

  test('lose a weighted sum of ten terms, whose products were summed cell by cell', () => {
    const memory = faceMemory();
    const cells = cellsOf();
    const terms = memory.numbers('TERMS', 10 * side * side);
    const before = terms.slice();
    terms.set(Float64Array.from(terms, shade));
    const at = memory.room(cells.byteLength);
    memory.floats(at, cells.length).set(cells);
    memory.run.smoothSums(at, side * side);
    const sums = new Float64Array(130);
    const seen = Array.from({ length: side * side }, (_, k) => k).filter((k) => cells[4 * k + 3] === 1);
    for (const k of seen)
      for (let p = 0; p < 10; p++) {
        const t = terms[10 * k + p]!;
        for (let q = 0; q < 10; q++) sums[10 * p + q]! += t * terms[10 * k + q]!;
        for (let c = 0; c < 3; c++) sums[100 + 10 * c + p]! += t * cells[4 * k + c]!;
      }
    const told = memory.numbers('MOMENTS', 130);
    const lower = (_: number, i: number): boolean => i >= 100 || i % 10 <= Math.floor(i / 10);
    expect([...told.filter(lower)]).toEqual([...sums.filter(lower)]);
    memory.run.takeSmooth(at, side * side);
    for (const k of seen)
      for (let c = 0; c < 3; c++) {
        let sum = 0;
        for (let p = 0; p < 10; p++) sum += sums[100 + 10 * c + p]! * terms[10 * k + p]!;
        cells[4 * k + c]! -= sum;
      }
    expect(differing(memory.floats(at, cells.length), cells)).toBe(-1);
    terms.set(before);
  });

  test('are means of what is seen of their cells, less a rim', () => {
    const size = 50;
    const light = some(3 * size * size, random);
    const shown = Uint8Array.from({ length: size * size }, (_, k) =>
      Math.hypot((k % size) - 20, Math.floor(k / size) - 25) < 21 && random() < 0.97 ? 1 : 0,
    );
    const places = Int32Array.from({ length: 9 * side * side }, (_, i) => {
      const [k, q] = [Math.floor(i / 9), i % 9];
      const x = Math.round(((k % side) + (q % 3) / 3) * 1.6) - 1;
      const y = Math.round((Math.floor(k / side) + Math.floor(q / 3) / 3) * 1.6) - 1;
      return x < 0 || y < 0 || x >= size || y >= size ? -1 : y * size + x;
    });
    const memory = faceMemory();
    const at = memory.room(16 * shown.length + 52 * side * side);
    const placesAt = at + 16 * shown.length;
    const cellsAt = placesAt + 36 * side * side;
    memory.floats(at, light.length).set(light);
    memory.bytes(at + 12 * shown.length, shown.length).set(shown);
    memory.integers(placesAt, places.length).set(places);
    memory.run.reduced(at, at + 12 * shown.length, placesAt, cellsAt, 7);
    const plain = new Float32Array(4 * side * side);
    for (let k = 0; k < side * side; k++) {
      const those = [...places.subarray(9 * k, 9 * k + 9)].filter((p) => p >= 0 && shown[p] === 1);
      const mean = (c: number): number => those.reduce((s, p) => Math.fround(s + light[3 * p + c]!), 0) / those.length;
      if (those.length >= 7) plain.set([mean(0), mean(1), mean(2), 1], 4 * k);
    }
    expect(differing(memory.floats(cellsAt, plain.length), plain)).toBe(-1);
    memory.run.drawnIn(cellsAt, 2);
    const seen = (k: number): boolean => plain[4 * k + 3] === 1;
    const near = Array.from({ length: 25 }, (_, i) => [(i % 5) - 2, Math.floor(i / 5) - 2] as const).filter(
      ([x, y]) => Math.abs(x) + Math.abs(y) <= 2,
    );
    const left = plain.map((v, i) => {
      const [x, y] = [Math.floor(i / 4) % side, Math.floor(i / 4 / side)];
      const inner = near.every(([u, w]) => {
        const [nx, ny] = [x + u, y + w];
        return nx >= 0 && ny >= 0 && nx < side && ny < side && seen(ny * side + nx);
      });
      return inner ? v : 0;
    });
    expect(left.some((v) => v !== 0)).toBe(true);
    expect(differing(memory.floats(cellsAt, left.length), left)).toBe(-1);
  });
});

describe('light of a straightened piece', () => {
  const cropOf = (width: number, height: number, channels: 3 | 4): Crop => ({
    ...{ left: 700, top: 400, width, height, channels },
    data: Uint8Array.from({ length: width * height * channels }, () => Math.floor(256 * random())),
  });
  const still: Camera = { f: 2900.3, cx: 1015.2, cy: 760.9, k1: 0.11, k2: -0.19 };
  const camera: Camera = { ...still, skew: 0.002, stretch: -0.003 };
  const ways = [
    [-8.1, -9.2, 151.7],
    [0.11, 0.021, 0.043],
    [-0.017, 0.094, -0.061],
  ] as const satisfies readonly Vec3[];
  const size = 41;
  const light = Array.from({ length: 256 }, (_, v) => Math.fround(SRGB.toLight(v)));
  const mask = Uint8Array.from({ length: size * size }, () => (random() < 0.7 ? 1 : 0));

  /** The same, one sample after the other. */
  function plain({ data, left, top, width, channels }: Crop, asked: Camera, samples: number): Float32Array {
    const out = new Float32Array(3 * mask.length);
    const [c, r, d] = ways;
    for (let s = 0; s < samples * samples; s++)
      for (const [k, shown] of mask.entries()) {
        if (!shown) continue;
        const a = (k % size) - (size - 1) / 2 + ((s % samples) + 0.5) / samples - 0.5;
        const b = Math.floor(k / size) - (size - 1) / 2 + (Math.floor(s / samples) + 0.5) / samples - 0.5;
        const along = (e: 0 | 1 | 2): number => c[e] + a * r[e] + b * d[e];
        const [u, v] = projection(asked, [along(0), along(1), along(2)]);
        const [i, j] = [Math.floor(u - left), Math.floor(v - top)];
        const [x, y] = [u - left - i, v - top - j];
        for (let e = 0; e < 3; e++) {
          const at = (p: number, q: number): number => light[data[((j + q) * width + i + p) * channels + e]!]!;
          const upper = at(0, 0) * (1 - x) + at(1, 0) * x;
          const lower = at(0, 1) * (1 - x) + at(1, 1) * x;
          out[3 * k + e]! += (1 / samples ** 2) * (upper * (1 - y) + lower * y);
        }
      }
    return out;
  }

  test('is to the last bit that of its samples one by one, whichever crop was looked at before', () => {
    for (const samples of [1, 2, 3])
      for (const channels of [3, 4] as const)
        for (const crop of [cropOf(300, 310, channels), cropOf(290, 280, channels)])
          for (const asked of [camera, still])
            expect(differing(sampledLight(crop, asked, ways, mask, size, samples), plain(crop, asked, samples))).toBe(
              -1,
            );
  });

  test('is none where the crop ends before the piece', () => {
    const asked = (crop: Crop): Float32Array | null => sampledLight(crop, camera, ways, mask, size, 2);
    const whole = cropOf(300, 310, 3);
    expect(asked(whole)).not.toBeNull();
    expect(asked({ ...whole, left: 870 })).toBeNull();
    expect(asked({ ...whole, top: 600 })).toBeNull();
    expect(asked({ ...whole, width: 160 })).toBeNull();
    expect(asked({ ...whole, height: 160 })).toBeNull();
  });
});
