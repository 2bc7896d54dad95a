import { expect, test } from 'vitest';
import { seededRandom } from '../src/maths/random.ts';
import { SPREAD, type EdgeSpread } from '../src/vision/card-response.ts';
import { SPREAD_SIZE, SpreadModel } from '../src/vision/spread-model.ts';
import { SRGB } from '../src/vision/tone.ts';

const places = Float64Array.from({ length: 51 }, (_, k) => k * SPREAD.step - SPREAD.reach);
const spread: EdgeSpread = { s: places, luma: places.map(() => 0), black: 40, white: 210, pixels: 1 };

const looked = (model: SpreadModel, p: Float64Array): Float64Array => {
  const out = new Float64Array(places.length);
  model.look(p, out);
  return out;
};

/** The same edge by its definition: every cell of a wide grid blurred, shown, blurred again. */
function plain(p: Float64Array): Float64Array {
  const [shift, ramp, blur, amount, radius, dark, bright] = p;
  const grid = Array.from({ length: 401 }, (_, i) => (i - 200) * SPREAD.step);
  const [black, white] = [spread.black + dark!, spread.white + bright!];
  const light = grid.map((s) => {
    const share = Math.min(1, Math.max(0, ((s - shift!) / Math.exp(ramp!) + 1) / 2));
    return SRGB.toLight(black + (white - black) * share);
  });
  const blurred = (f: readonly number[], sigma: number): number[] =>
    f.map((_, i) => {
      let [sum, weight] = [0, 0];
      for (let j = -Math.ceil((3.5 * sigma) / SPREAD.step); j <= Math.ceil((3.5 * sigma) / SPREAD.step); j++) {
        const w = Math.exp(-((j * SPREAD.step) ** 2) / (2 * sigma * sigma));
        sum += w * f[Math.min(400, Math.max(0, i + j))]!;
        weight += w;
      }
      return sum / weight;
    });
  const shown = blurred(light, Math.exp(blur!)).map((l) => SRGB.toDisplay(l));
  const soft = blurred(shown, Math.exp(radius!));
  return places.map((s) => {
    const i = Math.round(s / SPREAD.step) + 200;
    return Math.min(255, Math.max(0, shown[i]! + amount! * (shown[i]! - soft[i]!)));
  });
}

test('an edge is what its definition says, from the sharpest to the softest', () => {
  for (const [blur, radius] of [
    [-2, -1],
    [-0.5, 0.3],
    [0.6, 0.2],
  ] as const) {
    const p = Float64Array.of(0.13, -0.7, blur, 0.6, radius, 2, -3);
    const [seen, wanted] = [looked(new SpreadModel(spread, SRGB), p), plain(p)];
    seen.forEach((v, k) => {
      expect(Math.abs(v - wanted[k]!), `blur ${blur}, place ${k}`).toBeLessThan(1e-9);
    });
  }
});

test('what is kept from look to look changes nothing, whichever parameters change', () => {
  const random = seededRandom(7);
  const model = new SpreadModel(spread, SRGB);
  const p = Float64Array.of(0, -1, -0.7, 0.3, 0.3, 0, 0);
  for (let look = 0; look < 200; look++) {
    p[Math.floor(random() * SPREAD_SIZE)]! += 0.4 * (random() - 0.5);
    expect(looked(model, p)).toEqual(looked(new SpreadModel(spread, SRGB), p));
  }
});

test('widths beyond what is believed possible are taken for the widest', () => {
  const at = (blur: number, radius: number): Float64Array =>
    looked(new SpreadModel(spread, SRGB), Float64Array.of(0, 0, blur, 0.5, radius, 0, 0));
  expect(at(9, 9)).toEqual(at(1.2, 1.5));
  expect(at(1.2, 1.5).every(Number.isFinite)).toBe(true);
});
