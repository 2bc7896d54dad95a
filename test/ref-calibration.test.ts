import { expect, test } from 'vitest';
import { calibration, PER_PHOTO, SHARED, type Beliefs, type Calibration } from '../src/vision/calibration.ts';
import type { CardSight } from '../src/vision/saddles.ts';
import reference from './fixtures/chessboard-corners.json' with { type: 'json' };

// Source: corners in 13 photos of a chessboard from OpenCV's sample data, the calibration published beside them, and an independent
// solution by OpenCV 4.6's calibrateCamera; see the fixture.

/** The board's unit is free; this makes it about as large as the card. */
const SQUARE = 15;
const { columns } = reference.board;
const SIZE = { width: 640, height: 480 };
const sights: CardSight[] = reference.views.map(({ corners_px: corners }) => ({
  card: Float64Array.from(
    corners.flatMap((_, k) => [((k % columns) - 4) * SQUARE, (Math.floor(k / columns) - 2.5) * SQUARE]),
  ),
  picture: Float64Array.from(corners.flat()),
}));

/** Nothing believed of the camera; no bow, no change of focus and no skew, which OpenCV's model has not. */
const OPEN: Beliefs = {
  focal: 1e3,
  focalUnknown: 1e3,
  centre: 1e3,
  k1: 1e3,
  k2: 1e3,
  focus: 1e-9,
  bow: 1e-9,
  ratio: 1e-9,
  skew: 1e-9,
  stretch: 1e-9,
};

function solved(...args: Parameters<typeof calibration>): Calibration {
  const result = calibration(...args);
  if (!result.ok) throw new Error(JSON.stringify(result.error));
  return result.value;
}

test('plain least squares gives the independent solution of the same model', () => {
  const { shared, sigma, kept } = solved(sights, SIZE, null, [1, 1], { beliefs: OPEN, robust: false });
  const wanted = reference.independent.same_f_k1_k2;
  expect(Math.abs(shared.f - wanted.f)).toBeLessThan(2e-4);
  expect(Math.abs(shared.cx - wanted.cx)).toBeLessThan(2e-4);
  expect(Math.abs(shared.cy - wanted.cy)).toBeLessThan(2e-4);
  expect(Math.abs(shared.k1 - wanted.k1)).toBeLessThan(2e-6);
  expect(Math.abs(shared.k2 - wanted.k2)).toBeLessThan(5e-6);
  // OpenCV's figure is per point, ours per coordinate.
  expect(Math.abs(Math.SQRT2 * sigma - wanted.rms_px)).toBeLessThan(5e-6);
  expect(kept.flat()).not.toContain(false);
});

test('its standard deviations are of the size that OpenCV states', () => {
  const { shared, covariance } = solved(sights, SIZE, null, [1, 1], { beliefs: OPEN, robust: false });
  const n = SHARED + PER_PHOTO * sights.length;
  const sd = (i: number): number => Math.sqrt(covariance[i * n + i]!);
  // OpenCV's are of its larger model (fx, fy, and five lens terms), so they are somewhat larger.
  const [fx, , cx, cy] = reference.independent.full_5.sigma_fx_fy_cx_cy as [number, number, number, number];
  for (const [ours, theirs] of [
    [sd(0) * shared.f, fx],
    [sd(1), cx],
    [sd(2), cy],
  ] as const) {
    expect(ours / theirs).toBeGreaterThan(0.5);
    expect(ours / theirs).toBeLessThan(1);
  }
});

test('as used, it comes near the published calibration, and leaves the photo out that does not fit', () => {
  const { shared, sigma, kept, cameras } = solved(sights, SIZE, null, [1, 1]);
  const wanted = reference.published;
  // Looser: the published model has tangential terms and k3, which share the principal point and the focal length with ours, and
  // keeps one photo (1.22 px by the independent solution, the others 0.2 to 0.5) that the weights here mostly set aside.
  expect(Math.abs(shared.f / wanted.f - 1)).toBeLessThan(0.006);
  expect(Math.abs(shared.cx - wanted.cx)).toBeLessThan(3);
  expect(Math.abs(shared.cy - wanted.cy)).toBeLessThan(3);
  expect(Math.abs(shared.k1 - wanted.k1)).toBeLessThan(0.03);
  expect(Math.SQRT2 * sigma).toBeLessThan(wanted.rms_px);
  const leftOut = kept.map((points) => points.filter((k) => !k).length);
  expect(leftOut.indexOf(Math.max(...leftOut))).toBe(1);
  for (const { f } of cameras) expect(Math.abs(f / shared.f - 1)).toBeLessThan(0.004);
});

test('from one photo alone the focal length comes with wider doubt', () => {
  const all = solved(sights, SIZE, 540, [1, 1]);
  const sd = (c: Calibration): number => c.shared.f * Math.sqrt(c.covariance[0]!);
  const z = sights.map((sight, photo) => {
    const one = solved([sight], SIZE, 540, [1, 1]);
    expect(sd(one)).toBeGreaterThan(4 * sd(all));
    return (one.cameras[0]!.f - all.cameras[photo]!.f) / sd(one);
  });
  // 1 would be honest. The corners of one photo of a real board err together (the board is not quite flat, the lens not quite radial),
  // which one photo cannot tell from a pose.
  expect(Math.sqrt(z.reduce((s, v) => s + v * v, 0) / z.length)).toBeLessThan(2.2);
});
