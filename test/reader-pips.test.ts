import { expect, test } from 'vitest';
import { likeliest, readFace } from '../src/faces/reader/reader.ts';
import type { FacePixels } from '../src/faces/reader/window.ts';

const SIZE = 70;
const RADIUS = 34;

/** A square face of even skin, dark where `ink` says so; x to the right, y down, in face radii. */
function face(ink: (x: number, y: number) => boolean): FacePixels {
  const light = new Float32Array(3 * SIZE * SIZE);
  const mask = new Uint8Array(SIZE * SIZE);
  for (let j = 0; j < SIZE; j++)
    for (let i = 0; i < SIZE; i++) {
      const [x, y] = [(i - SIZE / 2 + 0.5) / RADIUS, (j - SIZE / 2 + 0.5) / RADIUS];
      if (Math.max(Math.abs(x), Math.abs(y)) > 1) continue;
      mask[j * SIZE + i] = 1;
      light.fill(
        ink(x, y) ? 0.05 : 0.55 + 0.01 * Math.sin(40 * x + 31 * y),
        3 * (j * SIZE + i),
        3 * (j * SIZE + i) + 3,
      );
    }
  return { size: SIZE, light, mask };
}

const disc = (x: number, y: number, r = 0.16): boolean => Math.hypot(x, y) < r;

test('a pip that keeps more of its ink than those about it is no 1', () => {
  const worn = (x: number, y: number): boolean =>
    disc(x, y) || ((disc(x - 0.6, y + 0.6) || disc(x + 0.6, y - 0.6)) && Math.abs(x + y) < 0.05);
  const read = readFace(face(worn), 'd6')!;
  expect(likeliest(read).label).not.toBe('1');
  expect(Math.exp(read.labelLogs[0]!)).toBeLessThan(0.1);
  expect(
    likeliest(
      readFace(
        face((x, y) => disc(x, y)),
        'd6',
      )!,
    ).label,
  ).toBe('1');
});

test('pips and figures are told apart on a d6, and their chances are parts of the whole', () => {
  const read = readFace(
    face((x, y) => [-0.55, 0.55].some((a) => [-0.55, 0.55].some((b) => disc(x - a, y - b)))),
    'd6',
  )!;
  expect(likeliest(read).label).toBe('4');
  expect(read.pipLogs![3]!).toBeGreaterThan(read.figureLogs![3]! + 3);
  read.labelLogs.forEach((l, k) =>
    expect(l).toBeGreaterThanOrEqual(Math.max(read.pipLogs![k]!, read.figureLogs![k]!) - 0.7),
  );
  expect(
    readFace(
      face(() => false),
      'd8',
    )!.pipLogs,
  ).toBeNull();
});
