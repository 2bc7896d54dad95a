import { expect, test } from 'vitest';
import { patternOf } from '../src/fit/doubt.ts';
import type { BandPixels } from '../src/vision/band.ts';
import { looksMetal, type Sheen } from '../src/vision/sheen.ts';
import { skinSlopes } from '../src/vision/skin.ts';

/** A straight outline of segments 4 px apart, with 6 pixels of skin each, whose light is given by the segment. */
function along(light: (segment: number) => number, count = 60): { pixels: BandPixels; xy: Float64Array } {
  const per = 6;
  const total = per * count;
  return {
    pixels: {
      start: Int32Array.from({ length: count + 1 }, (_, i) => per * i),
      s: new Float32Array(total).fill(-4),
      y: Float32Array.from({ length: total }, (_, m) => light(Math.floor(m / per))),
    },
    xy: Float64Array.from({ length: 2 * count }, (_, i) => (i % 2 === 0 ? 2 * i : 0)),
  };
}
const slopes = (light: (segment: number) => number): Float64Array => {
  const { pixels, xy } = along(light);
  return skinSlopes(pixels, 60, 1, -2.5, xy);
};

test('even skin has no slope, also where one face ends and the next begins', () => {
  expect(Math.max(...slopes(() => 90))).toBe(0);
  // The smaller of both differences is 0 on either side of the step; ends of the list are no neighbours.
  expect(Math.max(...slopes((k) => (k < 30 ? 90 : 140)))).toBe(0);
});

test('a pattern as fast across as along: a wave of 24 px and 40 display values slopes by up to 10.5 a px', () => {
  const found = slopes((k) => 90 + 40 * Math.sin((2 * Math.PI * 4 * k) / 24));
  const middle = [...found.slice(5, 55)].sort((a, b) => a - b)[25]!;
  // 2 pi 40 / 24 = 10.5 at its steepest, 7.4 as root mean square, seen through steps of 4 px.
  expect(middle).toBeGreaterThan(3.5);
  expect(middle).toBeLessThan(11);
});

test('a pattern of outlines is the middle of their points; without any, none', () => {
  const outline = {
    xy: new Float64Array(6),
    normal: new Float64Array(6),
    sigma: new Float64Array(3),
    byTerm: new Float64Array(0),
    terms: 0,
  };
  expect(patternOf([null, outline])).toBe(0);
  expect(patternOf([{ ...outline, skin: Float64Array.of(0.1, 0.9, 3) }])).toBe(0.9);
});

test('a mirror is told by upright faces that are lighter than the top one and do not brighten', () => {
  const sheen = {
    mirror: 0.3,
    rough: 0.7,
    limb: 0,
    light: [0, 0, 0.28],
    covariance: new Float64Array(9),
    scatter: 0.02,
    faces: 9,
  } as const;
  expect(looksMetal(sheen as Sheen)).toBe(true);
  expect(looksMetal({ ...sheen, limb: 0.4, light: [0, 0, -0.2] })).toBe(false);
  expect(looksMetal({ ...sheen, faces: 2 })).toBe(false);
});
