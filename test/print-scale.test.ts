import { describe, expect, test } from 'vitest';
import { composed, moved, projection, rotationOf, type Camera, type Rigid } from '../src/geometry/camera.ts';
import { CARD_SADDLES } from '../src/geometry/card.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';
import { CONTRADICTION, printedCalibration, PRINT_PRIOR, printScale, type Bars } from '../src/vision/print-scale.ts';
import type { CardSight } from '../src/vision/saddles.ts';

const SIZE = { width: 3000, height: 2000 };
const CAMERA: Camera = { f: 2650, cx: 1511, cy: 990, k1: 0.06, k2: -0.11 };
const POSES: readonly Rigid[] = [
  [0.2, 0.1],
  [0.35, 1.4],
  [0.3, -0.8],
].map(([lean, turn]) =>
  composed(
    { rotation: rotationOf([0, 0, turn!]), shift: [2, -3, 270] },
    { rotation: rotationOf([Math.PI - lean!, 0, 0]), shift: [0, 0, 0] },
  ),
);

/** A card printed this many times as large along x and y, as the camera sees it; `keep` says which points. */
function photographed(x: number, y: number, seed: number, keep: (k: number) => boolean = () => true): CardSight[] {
  const normal = seededNormal(seededRandom(seed));
  return POSES.map((pose) => {
    const [card, picture]: [number[], number[]] = [[], []];
    for (let k = 0; k < CARD_SADDLES.length; k += 2) {
      if (!keep(k / 2)) continue;
      const [u, v] = projection(CAMERA, moved(pose, [CARD_SADDLES[k]! * x, CARD_SADDLES[k + 1]! * y, 0]));
      card.push(CARD_SADDLES[k]!, CARD_SADDLES[k + 1]!);
      picture.push(u + 0.045 * normal(), v + 0.045 * normal());
    }
    return { card: Float64Array.from(card), picture: Float64Array.from(picture) };
  });
}

function solved(sights: readonly CardSight[], bars: Bars) {
  const found = printedCalibration(sights, SIZE, 2600, bars);
  if (!found.ok) throw new Error(found.error.code);
  return found.value;
}

const NONE: Bars = { checkBar: null, checkBarY: null, checkBarU: 0.05 };

describe('a stretched print', () => {
  test.each([
    [1, 1],
    [1.007, 1],
    [0.997, 1.004],
    [0.97, 0.966],
  ])('%s by %s: its points tell the ratio within their own doubt, whatever is believed of the size', (x, y) => {
    const { print, ratio } = solved(photographed(x, y, 5), NONE);
    expect(ratio.u).toBeLessThan(4e-4);
    expect(Math.abs(Math.log(print.x.value / print.y.value) - Math.log(x / y))).toBeLessThan(3 * ratio.u);
    expect(Math.log(print.x.value * print.y.value)).toBeCloseTo(0, 9);
    expect(print.u).toBe(PRINT_PRIOR.common);
  });

  test.each(['checkBar', 'checkBarY'] as const)('one bar (%s) gives the size of both directions', (which) => {
    const { print, cameraFromCard } = solved(photographed(1.007, 0.998, 6), {
      ...NONE,
      [which]: which === 'checkBar' ? 100.7 : 99.8,
    });
    expect(Math.abs(print.x.value / 1.007 - 1)).toBeLessThan(3 * print.x.u + 1e-12);
    expect(Math.abs(print.y.value / 0.998 - 1)).toBeLessThan(3 * print.y.u + 1e-12);
    expect(Math.max(print.x.u, print.y.u)).toBeLessThan(8e-4);
    // The camera's distance follows the size.
    cameraFromCard.forEach(({ shift }, i) => expect(shift[2] / POSES[i]!.shift[2]).toBeCloseTo(1, 2));
  });

  test('the size alone moves poses and nothing else', () => {
    const sights = photographed(1, 1, 7);
    const [small, large] = [98, 102].map((bar) => solved(sights, { ...NONE, checkBar: bar }));
    expect(large!.shared.f / small!.shared.f).toBeCloseTo(1, 6);
    expect(large!.cameraFromCard[1]!.shift[2] / small!.cameraFromCard[1]!.shift[2]).toBeCloseTo(102 / 98, 5);
  });

  test('with a third of the points it is still no false minimum', () => {
    for (const seed of [1, 2, 3, 4]) {
      const { print, ratio, kept } = solved(
        photographed(1.007, 1, seed, (k) => k % 3 === seed % 3),
        NONE,
      );
      expect(Math.abs(Math.log(print.x.value / print.y.value / 1.007))).toBeLessThan(3.5 * ratio.u);
      expect(kept.flat().filter(Boolean).length / kept.flat().length).toBeGreaterThan(0.9);
    }
  });
});

describe('bars against the ratio', () => {
  const ratio = { value: 0, u: 5e-5 };
  const apart = (s: { contradiction: { bars: number; card: number; u: number } | null }): number =>
    Math.abs(s.contradiction!.bars - s.contradiction!.card) / s.contradiction!.u;

  test('a ruler off by its own uncertainty, one way and the other, is no contradiction, and the size is their mean', () => {
    const s = printScale({ checkBar: 100.05, checkBarY: 99.95, checkBarU: 0.05 }, ratio);
    expect(apart(s)).toBeLessThan(CONTRADICTION);
    expect(s.x.value).toBeCloseTo(1, 6);
    expect(s.y.value).toBeCloseTo(1, 6);
  });

  test('three times that is one, and the doubt covers both bars', () => {
    const s = printScale({ checkBar: 100.15, checkBarY: 99.85, checkBarU: 0.05 }, ratio);
    expect(apart(s)).toBeGreaterThan(CONTRADICTION);
    expect(s.u).toBeCloseTo(1.5e-3, 5);
  });
});
