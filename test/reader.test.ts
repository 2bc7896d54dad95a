import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { expect, test } from 'vitest';
import { flattened, fount } from '../config/reader/founts.ts';
import { Products } from '../config/reader/product.ts';
import { CLASSES } from '../src/faces/reader/classes.ts';
import { classLogs, LAYER_SIZES, PATCH, type Layer } from '../src/faces/reader/net.ts';
import { printWindow, turnedPatch } from '../src/faces/reader/patch.ts';
import { packedLayers, unpackedLayers, type WeightsFile } from '../src/faces/reader/weights.ts';
import { GRID } from '../src/faces/reader/grid.ts';
import { faceGrid, type FacePixels } from '../src/faces/reader/window.ts';
import { seededRandom } from '../src/maths/random.ts';

const fontFile = (name: string): Uint8Array =>
  readFileSync(createRequire(import.meta.url).resolve(`dejavu-fonts-ttf/ttf/${name}.ttf`));

const random = seededRandom(3);
const layers: Layer[] = LAYER_SIZES.map(([inputs, outputs]) => ({
  inputs,
  outputs,
  weights: Float32Array.from({ length: inputs * outputs }, () => (random() - 0.5) * Math.sqrt(6 / inputs)),
  offsets: Float32Array.from({ length: outputs }, () => random() - 0.5),
}));

test('weights fit into 150 kB and have the sizes of the net', () => {
  const text = readFileSync(new URL('../src/faces/reader/weights.json', import.meta.url), 'utf8');
  expect(text.length).toBeLessThanOrEqual(150_000);
  expect(unpackedLayers(JSON.parse(text) as WeightsFile).map((l) => [l.inputs, l.outputs])).toEqual(LAYER_SIZES);
});

test('weights come back from their packed form within half a step', () => {
  const back = unpackedLayers({ seed: 0, temperature: 1, layers: packedLayers(layers) });
  layers.forEach((layer, k) => {
    const most = Math.max(...layer.weights.map(Math.abs));
    layer.weights.forEach((w, i) => {
      if (Math.abs(back[k]!.weights[i]! - w) > 0.51 * (most / 127)) expect.fail(`layer ${k}, weight ${i}`);
    });
  });
});

test('a file with other sizes is refused', () => {
  const packed = packedLayers(layers);
  const short = { ...packed[0]!, bytes: packed[0]!.bytes.slice(8) };
  expect(() => unpackedLayers({ seed: 0, temperature: 1, layers: [short, ...packed.slice(1)] })).toThrow(RangeError);
});

test('the net is what its layers say, worked out the plain way', () => {
  const patch = Float32Array.from({ length: PATCH * PATCH }, () => 2 * random() - 1);
  const logs = classLogs(layers, patch);
  const plain = plainLogs(patch);
  expect(logs).toHaveLength(CLASSES.length);
  logs.forEach((l, c) => expect(l).toBeCloseTo(plain[c]!, 4));
  expect(logs.reduce((s, l) => s + Math.exp(l), 0)).toBeCloseTo(1, 10);
  expect(classLogs(layers, patch)).toEqual(logs);
});

/** Convolutions by their definition, channel by channel. */
function plainLogs(patch: Float32Array): number[] {
  type Map = { side: number; channels: number; at: (x: number, y: number, c: number) => number };
  const convolved = (from: Map, layer: Layer, kernel: number, step: number, pad: number, side: number): Map => {
    const out: number[] = [];
    for (let y = 0; y < side; y++)
      for (let x = 0; x < side; x++)
        for (let o = 0; o < layer.outputs; o++) {
          let s = layer.offsets[o]!;
          for (let j = 0; j < kernel; j++)
            for (let i = 0; i < kernel; i++)
              for (let c = 0; c < from.channels; c++)
                s += from.at(x * step + i - pad, y * step + j - pad, c) * layer.weights[((j * kernel + i) * from.channels + c) * layer.outputs + o]!; // prettier-ignore
          out.push(Math.max(0, s));
        }
    return { side, channels: layer.outputs, at: (x, y, c) => out[(y * side + x) * layer.outputs + c]! };
  };
  const input: Map = { side: PATCH, channels: 1, at: (x, y) => (x < 0 || y < 0 || x >= PATCH || y >= PATCH ? 0 : patch[y * PATCH + x]!) }; // prettier-ignore
  const first = convolved(input, layers[0]!, 5, 2, 2, 14);
  const second = convolved(first, layers[1]!, 3, 1, 0, 12);
  const at = (x: number, y: number, c: number): number =>
    Math.max(...[0, 1].flatMap((j) => [0, 1].map((i) => second.at(2 * x + i, 2 * y + j, c))));
  const third = convolved({ side: 6, channels: second.channels, at }, layers[2]!, 3, 1, 0, 4);
  const flat: number[] = [];
  for (let y = 0; y < 4; y++) for (let x = 0; x < 4; x++) for (let c = 0; c < 64; c++) flat.push(third.at(x, y, c));
  const full = (from: number[], layer: Layer): number[] =>
    Array.from(layer.offsets, (b, o) => from.reduce((s, v, k) => s + v * layer.weights[k * layer.outputs + o]!, b));
  const out = full(full(flat, layers[3]!).map((v) => Math.max(0, v)), layers[4]!).slice(0, CLASSES.length); // prettier-ignore
  const norm = Math.log(out.reduce((s, v) => s + Math.exp(v), 0));
  return out.map((v) => v - norm);
}

/** A square face with a bar and a dot, light on dark or dark on light, its picture turned counter-clockwise by quarter turns. */
function barFace(quarters: number, ink: number, skin: number): FacePixels {
  const size = 80;
  const light = new Float32Array(3 * size * size);
  const mask = new Uint8Array(size * size);
  for (let y = 0; y < size; y++)
    for (let x = 0; x < size; x++) {
      let [u, v] = [x - 39.5, y - 39.5];
      for (let q = 0; q < quarters; q++) [u, v] = [-v, u];
      const inked = (Math.abs(u) < 3 && Math.abs(v) < 14) || Math.hypot(u - 9, v - 11) < 3;
      const k = y * size + x;
      mask[k] = Math.max(Math.abs(u), Math.abs(v)) < 34 ? 1 : 0;
      for (let c = 0; c < 3; c++) light[3 * k + c] = inked ? ink : skin * (1 + 0.004 * (x - 40));
    }
  return { size, light, mask };
}

const patchOf = (face: FacePixels, turn: number): Float32Array => {
  const grid = faceGrid(face, 'd6')!;
  const patch = new Float32Array(PATCH * PATCH);
  turnedPatch(grid, printWindow(grid), turn, patch);
  return patch;
};

test.each([1, 2, 3])('print turned by %i quarters looks the same at its own turn', (quarters) => {
  const straight = patchOf(barFace(0, 0.9, 0.1), 0);
  const turned = patchOf(barFace(quarters, 0.9, 0.1), 90 * quarters);
  const off = straight.reduce((s, v, k) => s + Math.abs(v - turned[k]!), 0) / straight.length;
  expect(off).toBeLessThan(0.12);
  const other = patchOf(barFace(quarters, 0.9, 0.1), 90 * quarters + 90);
  expect(straight.reduce((s, v, k) => s + Math.abs(v - other[k]!), 0) / straight.length).toBeGreaterThan(0.4);
});

test('dark on light looks as light on dark, and an even slope of light is taken away', () => {
  const light = patchOf(barFace(0, 0.9, 0.1), 0);
  const dark = patchOf(barFace(0, 0.05, 0.6), 0);
  expect(light.reduce((s, v, k) => s + Math.abs(v - dark[k]!), 0) / light.length).toBeLessThan(0.1);
  expect(Math.max(...dark)).toBeGreaterThan(1.5);
});

test('a face of hardly any pixels is not looked at', () => {
  expect(faceGrid({ size: 8, light: new Float32Array(192), mask: new Uint8Array(64) }, 'd6')).toBeNull();
  expect(GRID).toBe(64);
});

test('products in lanes are those of the definition', () => {
  const products = new Products(4000);
  const [m, n, k] = [8, 16, 7];
  const [a, b, c] = [products.array(m * k), products.array(k * n), products.array(m * n)];
  for (const x of [a, b, c]) for (let i = 0; i < x.length; i++) x[i] = random() - 0.5;
  const want = Array.from(c, (v, i) => {
    let s = v;
    for (let t = 0; t < k; t++) s += a[Math.floor(i / n) * k + t]! * b[t * n + (i % n)]!;
    return s;
  });
  products.add(m, n, k, a, b, c);
  c.forEach((v, i) => expect(v).toBeCloseTo(want[i]!, 5));
  expect(() => {
    products.add(3, 8, 1, a, b, c);
  }).toThrow(RangeError);
});

test('a fount gives the advance widths that its file states', () => {
  // DejaVu Sans: every figure advances 1303 of 2048 units (its hmtx table); 8 reaches from -29 to 1520 (glyf).
  const sans = fount('sans', fontFile('DejaVuSans'));
  for (const c of '0123456789') expect(sans.glyphs.get(c)!.advance).toBeCloseTo(1303 / (1520 + 29), 2);
});

test('curves are followed', () => {
  expect(flattened('M0 0L4 0Q4 4 0 4Z')[0]!.slice(0, 4)).toEqual([0, 0, 4, 0]);
  const ring = flattened('M0 0C0 2 2 2 2 0Z')[0]!;
  // Bernstein at t = 0.4.
  expect(ring[4]).toBeCloseTo(3 * 0.4 * 0.16 * 0 + 3 * 0.6 * 0.16 * 2 + 0.064 * 2, 12);
});
