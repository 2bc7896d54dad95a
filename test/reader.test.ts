import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { expect, test } from 'vitest';
import { flattened, fount } from '../config/reader/founts.ts';
import { WIDTHS, widthsOf } from '../src/faces/reader/listed.ts';
import { Products } from '../src/faces/reader/product.ts';
import { CLASSES } from '../src/faces/reader/classes.ts';
import { classLogs } from '../src/faces/reader/forward.ts';
import { CONVOLUTIONS, LAYER_SIZES, PATCH, PATCH_VALUES, PLANES, type Layer } from '../src/faces/reader/net.ts';
import { Pupil, STEPS } from '../config/reader/learn.ts';
import { taught } from '../config/reader/teach.ts';
import { printWindow, turnedPatch } from '../src/faces/reader/patch.ts';
import { packedLayers, unpackedLayers, type WeightsFile } from '../src/faces/reader/weights.ts';
import { GRID } from '../src/faces/reader/grid.ts';
import { faceGrid, type FacePixels } from '../src/faces/reader/window.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';

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

/** SHA-256 of the reader's weights, and of those that the first two steps of a small training give. */
const DIGEST = {
  weights: '3702e0f07aa6141694b453f767bd6799b92a286de94ced2335ec21e399057b09',
  begun: 'e2fcadff7e6d922f6f3a1900f442c04b335116cb59ef6f0607a2b90688e89ea2',
} as const;

const sha256 = (text: string): string => createHash('sha256').update(text).digest('hex');

test('weights are those of the training as it stands', () => {
  const founts = ['DejaVuSans', 'DejaVuSerif-Bold'].map((name) => fount(name, fontFile(name)));
  const begun = packedLayers(taught(1, 2, founts, 60).layers);
  const changed =
    'drawing, looking or learning changed: train the reader anew (npm run -s evencast -- train-reader --seed 1), then renew both digests';
  expect(sha256(JSON.stringify(begun)), changed).toBe(DIGEST.begun);
  const shipped = readFileSync(new URL('../src/faces/reader/weights.json', import.meta.url), 'utf8');
  expect(sha256(shipped), changed).toBe(DIGEST.weights);
});

test('weights come back from their packed form within half a step, the few largest cut', () => {
  const packed = packedLayers(layers);
  const back = unpackedLayers({ seed: 0, temperature: 1, layers: packed });
  layers.forEach(({ outputs, weights }, k) => {
    let cut = 0;
    weights.forEach((w, i) => {
      const step = packed[k]!.scales[i % outputs]!;
      const seen = back[k]!.weights[i]!;
      if (Math.abs(seen - w) <= 0.501 * step) return;
      if (Math.abs(w) < 31 * step || Math.abs(seen - Math.sign(w) * 31 * step) > 1e-6)
        expect.fail(`layer ${k}, weight ${i}: ${w} came back as ${seen}`);
      cut++;
    });
    expect(cut / weights.length).toBeLessThan(0.1);
  });
});

test('steps are finer than the largest weight asks for: the few largest are cut where all others gain', () => {
  const at = CONVOLUTIONS.length - 1;
  const normal = seededNormal(seededRandom(4));
  const { inputs, outputs } = layers[at]!;
  const weights = Float32Array.from({ length: inputs * outputs }, normal);
  const packed = packedLayers(layers.map((l, k) => (k === at ? { ...l, weights } : l)));
  const back = unpackedLayers({ seed: 0, temperature: 1, layers: packed })[at]!.weights;
  const most = Array.from({ length: outputs }, (_, o) =>
    weights.reduce((m, w, i) => (i % outputs === o ? Math.max(m, Math.abs(w)) : m), 0),
  );
  const plain = weights.map((w, i) => (Math.round((w * 31) / most[i % outputs]!) * most[i % outputs]!) / 31);
  const error = (of: Float32Array): number => weights.reduce((s, w, i) => s + (of[i]! - w) ** 2, 0);
  expect(error(back)).toBeLessThan(0.98 * error(plain));
});

test('a file with other sizes is refused', () => {
  const packed = packedLayers(layers);
  const short = { ...packed[0]!, steps: packed[0]!.steps.slice(8) };
  expect(() => unpackedLayers({ seed: 0, temperature: 1, layers: [short, ...packed.slice(1)] })).toThrow(RangeError);
});

test('the net is what its layers say, worked out the plain way', () => {
  const patch = Float32Array.from({ length: PATCH_VALUES }, () => 2 * random() - 1);
  const other = Float32Array.from({ length: PATCH_VALUES }, () => 2 * random() - 1);
  const [logs, second] = classLogs(layers, Float32Array.from([...patch, ...other]));
  expect(logs).toHaveLength(CLASSES.length);
  const [plain, plainSecond] = [plainLogs(patch), plainLogs(other)];
  logs!.forEach((l, c) => expect(l).toBeCloseTo(plain[c]!, 3));
  second!.forEach((l, c) => expect(l).toBeCloseTo(plainSecond[c]!, 3));
  expect(logs!.reduce((s, l) => s + Math.exp(l), 0)).toBeCloseTo(1, 10);
  expect(classLogs(layers, patch)).toEqual([logs]);
});

/** Convolutions by their definition, channel by channel. */
function plainLogs(patch: Float32Array): number[] {
  type Square = (x: number, y: number, c: number) => number;
  let now: Square = (x, y, c) => patch[(y * PATCH + x) * PLANES + c]!;
  CONVOLUTIONS.forEach(({ kernel, step, pad, from, to, side, out, halved }, k) => {
    const before = now;
    const { weights, offsets } = layers[k]!;
    const at = (x: number, y: number, c: number): number =>
      x < 0 || y < 0 || x >= side || y >= side ? 0 : before(x, y, c);
    const whole = new Map<number, number>();
    const convolved: Square = (x, y, o) => {
      const key = (y * out + x) * to + o;
      if (!whole.has(key)) {
        let s = offsets[o]!;
        for (let j = 0; j < kernel; j++)
          for (let i = 0; i < kernel; i++)
            for (let c = 0; c < from; c++)
              s += at(x * step + i - pad, y * step + j - pad, c) * weights[((j * kernel + i) * from + c) * to + o]!;
        whole.set(key, Math.max(0, s));
      }
      return whole.get(key)!;
    };
    now = halved
      ? (x, y, c) => Math.max(...[0, 1, 2, 3].map((q) => convolved(2 * x + (q & 1), 2 * y + (q >> 1), c)))
      : convolved;
  });
  const { out: side, to } = CONVOLUTIONS.at(-1)!;
  const flat = Array.from({ length: side * side * to }, (_, k) =>
    now(Math.floor(k / to) % side, Math.floor(k / to / side), k % to),
  );
  const full = (from: number[], layer: Layer): number[] =>
    Array.from(layer.offsets, (b, o) => from.reduce((s, v, k) => s + v * layer.weights[k * layer.outputs + o]!, b));
  const [hidden, last] = layers.slice(-2);
  const raw = full(
    full(flat, hidden!).map((v) => Math.max(0, v)),
    last!,
  ).slice(0, CLASSES.length);
  const norm = Math.log(raw.reduce((s, v) => s + Math.exp(v), 0));
  return raw.map((v) => v - norm);
}

test('a step of learning moves every weight the way that lowers the loss', () => {
  const pupil = new Pupil(5);
  const before = pupil.layers;
  const patches = Float32Array.from({ length: STEPS.batch * PATCH_VALUES }, () => 2 * random() - 1);
  const classes = Uint8Array.from({ length: STEPS.batch }, (_, k) => k % 5);
  const loss = (of: readonly Layer[]): number =>
    -classLogs(of, patches).reduce((s, logs, k) => s + logs[classes[k]!]!, 0) / STEPS.batch;
  const told = pupil.learn(patches, classes, 1e-3);
  expect(told.loss).toBeCloseTo(loss(before), 4);
  // Adam's first step is the gradient's sign alone: each moved weight is checked against a difference of the loss itself.
  pupil.layers.forEach((layer, k) => {
    const moved = layer.weights.map((w, i) => w - before[k]!.weights[i]!);
    const slopes = [...moved.keys()].filter((i) => Math.abs(moved[i]!) > 1e-6).slice(0, 4000);
    let [right, all] = [0, 0];
    for (let t = 0; t < 6; t++) {
      const i = slopes[Math.floor(random() * slopes.length)]!;
      const [up, down] = [0.005, -0.005].map((d) =>
        loss(before.map((l, q) => (q === k ? { ...l, weights: l.weights.map((w, j) => (j === i ? w + d : w)) } : l))),
      );
      // What is as good as level may turn at a kink in between.
      if (Math.abs(up! - down!) < 3e-5) continue;
      all++;
      if (Math.sign(up! - down!) === -Math.sign(moved[i]!)) right++;
    }
    expect(right, `layer ${k}: ${right} of ${all}`).toBe(all);
    expect(all).toBeGreaterThan(0);
  });
});

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
  const patch = new Float32Array(PATCH_VALUES);
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

test('a layer of which only what is not 0 is multiplied is to the last bit the whole one', () => {
  const products = new Products(20000);
  // Pieces of 2 by 2 places out of two pictures of 3 by 3, and a row too many that looks at the first.
  const first = [0, 1, 3, 4, 9, 10, 12, 13, 0];
  const [side, count, n] = [3, 12, 88];
  const some = (length: number, of: () => number): Float32Array => {
    const out = products.array(length);
    for (let i = 0; i < length; i++) out[i] = of();
    return out;
  };
  const from = some(18 * count, () => (random() < 0.3 ? 3 * random() : random() < 0.3 ? -0 : 0));
  from.fill(0, 4 * count, 5 * count);
  const [b, offsets] = [some(4 * count * n, () => random() - 0.5), some(n, () => random() - 0.5)];
  const c = products.array(first.length * n);
  const rows = products.listedRows(18, count, { lines: 2, kernel: 2, side }, first);
  for (const floor of [-Infinity, 0]) {
    products.listedLayer(from, rows, b, offsets, floor, c);
    const want = c.map((_, i) => {
      const [place, o] = [first[Math.floor(i / n)]!, i % n];
      let sum = offsets[o]!;
      for (let t = 0; t < 4 * count; t++) {
        const at = (place + (t < 2 * count ? 0 : side)) * count + (t % (2 * count));
        sum = Math.fround(sum + Math.fround(from[at]! * b[t * n + o]!));
      }
      return Math.max(floor, sum);
    });
    expect([...c]).toEqual([...want]);
    expect(c.some((v) => v < 0)).toBe(floor < 0);
  }
});

test('columns are parted into no more than fit the registers, in eights', () => {
  for (let n = 8; n <= 136; n += 8) {
    const widths = widthsOf(n);
    expect(widths.reduce((s, w) => s + w)).toBe(n);
    expect(widths.every((w) => WIDTHS.includes(w))).toBe(true);
  }
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
