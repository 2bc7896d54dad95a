import { expect, test } from 'vitest';
import { powerCurve } from '../src/vision/tone.ts';
import { seenBalls } from './support/hulls.ts';
import { poseOver, rendered, scene } from './support/render-card.ts';

// The renderer is what other tests measure against, so it is held to closed forms itself.

const CLOSE = {
  width: 260,
  height: 240,
  camera: { f: 1000, cx: 129.5, cy: 119.5, k1: 0, k2: 0 },
  cameraFromCard: poseOver(0, 0, 0, 100),
  tone: powerCurve(1),
  noise: 0,
  stage: 1,
};

/** Sum of what is missing from white, in pixels, and its centre. */
function dark(changes: Parameters<typeof scene>[0]): { readonly area: number; readonly u: number; readonly v: number } {
  const { width, data } = rendered(scene({ ...CLOSE, ...changes }));
  let [area, u, v] = [0, 0, 0];
  for (let k = 0; k < data.length / 3; k++) {
    const share = 1 - data[3 * k]! / 255;
    area += share;
    u += share * (k % width);
    v += share * Math.floor(k / width);
  }
  return { area, u: u / area, v: v / area };
}

const ball = (x: number, y: number): Parameters<typeof scene>[0] => ({
  die: { balls: seenBalls([[[x, y, 92], 8]]), light: 0 },
});

test.each([0, 0.7, 1.6])('a ball covers the area of its outline, blurred by %f px or not', (blur) => {
  const radius = (1000 * 8) / Math.sqrt(92 ** 2 - 8 ** 2);
  const { area, u, v } = dark({ ...ball(0, 0), blur });
  // Its outline's chords lie inside by a thousandth of its radius at most.
  expect(area / (Math.PI * radius ** 2)).toBeCloseTo(1, 3);
  expect(Math.hypot(u - 129.5, v - 119.5)).toBeLessThan(0.005);
});

test('a thing moved by tenths of a pixel is seen moved by as much', () => {
  const still = dark({ ...ball(0, 0), blur: 0.7 });
  for (const [du, dv] of [
    [0.1, 0],
    [0.25, -0.4],
    [0.5, 0.5],
  ] as const) {
    // Near the axis an outline moves by f / d to first order; its ellipse adds less than a thousandth of that.
    const moved = dark({ ...ball((du * 92) / 1000, (dv * 92) / 1000), blur: 0.7 });
    expect(moved.u - still.u).toBeCloseTo(du, 2);
    expect(moved.v - still.v).toBeCloseTo(dv, 2);
  }
});

test('the ring covers what its design says', () => {
  // Looking straight down at one black square of the ring among white: 7 mm at 10 px a millimetre.
  const { area } = dark({
    width: 1300,
    height: 1000,
    camera: { f: 1000, cx: 649.5, cy: 499.5, k1: 0, k2: 0 },
    cameraFromCard: poseOver(0, 0, 0, 100),
    white: 1,
    black: 0,
    table: 1,
    hidden: Array.from({ length: 48 }, (_, k) => k),
    cover: 1,
    blur: 0.5,
  });
  // Half of the 96 squares of the ring are black; the others are covered in white.
  expect(area / (48 * 70 * 70)).toBeCloseTo(1, 4);
});

test('same scene, same bytes; another seed, other noise', () => {
  const s = { ...CLOSE, noise: 2, seed: 3 };
  expect(rendered(scene(s)).data).toEqual(rendered(scene(s)).data);
  expect(rendered(scene({ ...s, seed: 4 })).data).not.toEqual(rendered(scene(s)).data);
});
