import { expect, test } from 'vitest';
import type { FacePicture } from '../src/faces/face-picture.ts';
import { READING, slotReading, type LabelReading } from '../src/faces/readings.ts';
import { seededRandom } from '../src/maths/random.ts';

const SIZE = 60;
const random = seededRandom(3);

/** A face of two colours, so that it can be looked at again. */
const picture: FacePicture = {
  face: 4,
  photo: 0,
  size: SIZE,
  umPerPx: 100,
  light: Float32Array.from({ length: 3 * SIZE * SIZE }, () => 0.2 + 0.6 * random()),
  mask: new Uint8Array(SIZE * SIZE).fill(1),
  slant: 1,
  photoPx: [1, 1],
};

const reading = (three: number, eight: number): LabelReading => ({
  labels: ['3', '8'],
  labelLogs: [three, eight].map(Math.log),
  other: Math.log(1e-3),
});

/** What a face is read as by a reader that says this of its looks, one after another; and how many looks it had. */
function told(looks: readonly LabelReading[]): {
  readonly three: number;
  readonly eight: number;
  readonly looks: number;
} {
  let count = 0;
  const one = slotReading(picture, 'd8', () => looks[count++] ?? null)!;
  const [three, eight] = Array.from(one.reading.labelLogs, Math.exp);
  return { three: three!, eight: eight!, looks: count };
}

test('a face that is read plainly is looked at once', () => {
  expect(told([reading(READING.plain + 0.05, 0.1), reading(0.01, 0.98)])).toMatchObject({ looks: 1 });
});

test('of three looks the sure one decides, whichever it is', () => {
  for (const looks of [
    [reading(0.5, 0.3), reading(0.02, 0.97), reading(0.4, 0.35)],
    [reading(0.5, 0.3), reading(0.4, 0.35), reading(0.02, 0.97)],
  ]) {
    const { three, eight, looks: count } = told(looks);
    expect(count).toBe(3);
    expect(eight).toBeGreaterThan(0.93);
    expect(three).toBeLessThan(0.05);
  }
});

test('two looks that are as sure of different things leave it open', () => {
  const { three, eight } = told([reading(0.5, 0.3), reading(0.02, 0.97), reading(0.97, 0.02)]);
  expect(Math.abs(three - eight)).toBeLessThan(0.02);
  expect(Math.max(three, eight)).toBeLessThan(0.55);
});
