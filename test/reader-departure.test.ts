import { describe, expect, test } from 'vitest';
import { departures } from '../src/faces/reader/departure.ts';
import { GRID } from '../src/faces/reader/grid.ts';
import { median } from '../src/maths/linear.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';
import { withColours } from './face-colours.ts';

type Colour = readonly [number, number, number];

const PLACES = GRID * GRID;
const normal = seededNormal(seededRandom(7));

const everywhere = new Float32Array(PLACES).fill(1);

/** A whole grid of colours. */
function painted(colour: (x: number, y: number) => Colour, noise = 0.01): Float32Array {
  const rgb = new Float32Array(3 * PLACES);
  for (let k = 0; k < PLACES; k++)
    rgb.set(
      colour((k % GRID) - GRID / 2, Math.floor(k / GRID) - GRID / 2).map((v) => v + noise * normal()),
      3 * k,
    );
  return rgb;
}

const departed = (rgb: Float32Array): Float32Array => departures(withColours(rgb, everywhere));

const within = (off: Float32Array, on: (x: number, y: number) => boolean): number[] =>
  Array.from(off.entries())
    .filter(([k]) => on((k % GRID) - GRID / 2, Math.floor(k / GRID) - GRID / 2))
    .map(([, v]) => v);

const stroke = (x: number, y: number): boolean => Math.abs(x) < 3 && Math.abs(y) < 20;
const skin = (x: number, y: number): boolean => Math.abs(x) > 5 || Math.abs(y) > 22;

describe('what departs from skin', () => {
  test.each([
    ['lighter', 0.2],
    ['darker', -0.2],
    ['a shade darker, as a groove without its ink', -0.06],
  ])('a stroke that is %s', (_, by) => {
    const off = departed(painted((x, y) => (stroke(x, y) ? [by, by, by] : [0, 0, 0])));
    expect(median(within(off, stroke))).toBeGreaterThan(1);
    expect(median(within(off, skin))).toBeLessThan(0.6);
  });

  test('neither of two colours that swirl does, but print of a third', () => {
    const off = departed(
      painted((x, y) =>
        stroke(x, y) ? [0.15, 0.3, -0.2] : Math.sin(0.4 * x + 0.3 * y) > 0.2 ? [0.2, -0.1, 0] : [-0.2, 0.1, 0],
      ),
    );
    expect(median(within(off, stroke))).toBeGreaterThan(2);
    expect(median(within(off, skin))).toBeLessThan(0.7);
  });

  test('it is the same along whatever axes colours are told', () => {
    // Mahalanobis 1936: the distance by a spread of one's own is the same after any change of axes. Noise far above what is believed of any skin.
    const rgb = painted((x, y) => (stroke(x, y) ? [4, 2, -3] : [0, 0, 0]), 1);
    const axes: readonly Colour[] = [
      [2, 0.5, 0],
      [-0.4, 1.5, 0.3],
      [0.2, -0.6, 1],
    ];
    const other = new Float32Array(rgb.length);
    for (let k = 0; k < PLACES; k++)
      other.set(
        axes.map((row) => row.reduce((s, a, i) => s + a * rgb[3 * k + i]!, 0)),
        3 * k,
      );
    const [off, same] = [departed(rgb), departed(other)];
    off.forEach((v, k) => expect(same[k]).toBeCloseTo(v, 3));
    expect(median(within(off, stroke))).toBeGreaterThan(2 * median(within(off, skin)));
  });

  test('a face of one colour without any noise departs nowhere', () => {
    const off = departed(painted(() => [0, 0, 0], 0));
    expect(Math.max(...off)).toBeLessThan(1e-6);
  });
});
