import { readFile } from 'node:fs/promises';
import { describe, expect, test } from 'vitest';
import { ASSEMBLED, assembledText } from '../config/assembled.ts';
import { sampledLight } from '../src/faces/sampled-light.ts';
import { projection, type Camera } from '../src/geometry/camera.ts';
import type { Vec3 } from '../src/geometry/vec.ts';
import { seededRandom } from '../src/maths/random.ts';
import type { Crop } from '../src/vision/picture.ts';
import { SRGB } from '../src/vision/tone.ts';

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
