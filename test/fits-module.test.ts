import { readFile } from 'node:fs/promises';
import { expect, test } from 'vitest';
import { ASSEMBLED, assembledText } from '../config/assembled.ts';
import { seenIn, withCrowns } from '../src/fit/die-state.ts';
import { TAU_USUAL } from '../src/fit/doubt.ts';
import { fitMemory, WIDTH } from '../src/fit/fit-memory.ts';
import { CUT, normalOf, SHAPE_PRIOR, type Normal } from '../src/fit/normal-equations.ts';
import { divisions, NO_TAU, type Division } from '../src/fit/stretches.ts';
import { viewingRay } from '../src/geometry/camera.ts';
import { ContactFinder, newContact } from '../src/geometry/hull.ts';
import type { Outline } from '../src/geometry/outline.ts';
import type { SeenDie } from '../src/geometry/standing.ts';
import { seededRandom } from '../src/maths/random.ts';
import { poseOver } from './support/render-card.ts';
import { CAMERA, exactOutline, shifted, unevenDie } from './support/synthetic-die.ts';

test('the module kept is what its source makes', async () => {
  const { path, text } = await assembledText(ASSEMBLED.fits);
  expect(await readFile(path, 'utf8')).toBe(text);
});

const random = seededRandom(17);

/** Rows of which some side by side hang on the same parameters, some of these twice, and some on one alone. */
function someRows(count: number, parameters: number): { index: Int32Array; value: Float64Array } {
  const index = new Int32Array(WIDTH * count).fill(-1);
  const value = new Float64Array(WIDTH * count);
  for (let k = 0, o = 0; k < count; k++, o += WIDTH) {
    const used = k % 11 === 0 ? 1 : 5 + Math.floor(10 * random());
    if (k % 5 > 1) index.copyWithin(o, o - WIDTH, o);
    else for (let p = 0; p < used; p++) index[o + p] = Math.floor(parameters * random());
    for (let p = 0; p < WIDTH; p++) value[o + p] = random() - 0.5;
  }
  return { index, value };
}

test('sums over rows: to the last bit what they are pair by pair', () => {
  const [n, count, cut] = [70, 600, 2.5];
  const { index, value } = someRows(count, n);
  const residual = Float64Array.from({ length: count }, () => random() - 0.5);
  const sigma = Float64Array.from({ length: count }, () => 0.05 + random() / 10);
  const a = new Float64Array(n * n);
  const g = new Float64Array(n);
  const terms = residual.map((r, k) => 1 + ((r * (1 / sigma[k]!)) / cut) ** 2);
  let twice = 0;
  for (let k = 0; k < count; k++) {
    const is = 1 / sigma[k]!;
    for (let p = k * WIDTH; p < (k + 1) * WIDTH && index[p]! >= 0; p++) {
      const v = value[p]! * ((is * is) / terms[k]!);
      g[index[p]!]! += v * residual[k]!;
      for (let q = k * WIDTH; q <= p; q++) {
        const [i, j] = [Math.max(index[p]!, index[q]!), Math.min(index[p]!, index[q]!)];
        if (i === j && p !== q) twice++;
        a[i * n + j]! += (i === j && p !== q ? 2 : 1) * v * value[q]!;
      }
    }
  }
  expect(twice).toBeGreaterThan(count / 10);
  const memory = fitMemory();
  memory.holdSums(count, n, 0);
  memory.index.set(index);
  memory.value.set(value);
  memory.residual.set(residual);
  memory.sigma.set(sigma);
  memory.addRows(count, cut);
  expect(memory.a).toStrictEqual(a);
  expect(memory.g).toStrictEqual(g);
  expect(Array.from(memory.terms.subarray(0, count))).toStrictEqual(Array.from(terms));
});

const { truth, photos: leaning } = unevenDie('d6', 9, 3);
/** From right above, where crowns of the side faces carry contacts. */
const photos = leaning.map((photo, i) => ({ ...photo, cameraFromCard: poseOver(1, 70 * i, 20, 240) }));
const crowned = withCrowns(truth, new Float64Array(6).fill(0.05));

test.each([
  ['flat', truth],
  ['crowned', crowned],
])('contacts guessed rightly with a %s die: to the last bit those of a look at all balls', (_, state) => {
  let [held, left, peaks] = [0, 0, 0];
  for (const [i, photo] of photos.entries()) {
    const die = seenIn(state, photo, i);
    const { rays, guesses, count } = guessedRays(die, exactOutline(truth, photo, i, 2));
    const memory = fitMemory();
    memory.holdRows(count);
    const out = new Float64Array(5 * count);
    const open = memory.heldContacts(memory.setBalls(die), rays, guesses, out);
    const others = new Set(memory.index.slice(2 * count, 2 * count + open));
    const finder = new ContactFinder(die);
    const at = newContact();
    for (let k = 0; k < count; k++) {
      const [first, second] = [guesses[k]!, guesses[count + k]!];
      finder.find(rays[6 * k]!, rays[6 * k + 1]!, rays[6 * k + 2]!, at, first, second);
      if (others.has(k)) {
        left++;
        continue;
      }
      held++;
      if (first >= die.count) peaks++;
      expect([at.first, at.second]).toStrictEqual([first, second]);
      const told = [out[3 * k], out[3 * k + 1], out[3 * k + 2], out[3 * count + k], out[4 * count + k]];
      expect(told).toStrictEqual([at.ux, at.uy, at.uz, at.distance, at.share]);
    }
  }
  expect(held).toBeGreaterThan(2 * left);
  expect(left).toBeGreaterThan(10);
  expect(peaks > 0).toBe(state === crowned);
});

test.each([
  ['flat', truth],
  ['crowned', crowned],
])('stretches of a %s die taken out in the module: to the last bit what they are one by one', (_, state) => {
  const outlines = photos.map((photo, i) => (i === 1 ? null : shifted(exactOutline(truth, photo, i, 2), scattered)));
  const sums = (...divided: readonly (readonly (Division | null)[])[]): Normal =>
    normalOf(state, photos, outlines, SHAPE_PRIOR, CUT, TAU_USUAL, ...divided);
  // Balls that are met for the first time are guessed from then on.
  const divided = divisions(state, photos, outlines, CUT);
  const plain = sums();
  expect(sums(divided)).toStrictEqual(plain);
  const independent = normalOf(state, photos, outlines, SHAPE_PRIOR, CUT, NO_TAU);
  expect(plain.cost).toBeLessThan(independent.cost - 1);
});

const scattered = (k: number): number => 0.1 * Math.sin(k * k);

/** Rays of an outline, each guessed to touch what the one before it does, and every seventh nothing. */
function guessedRays(die: SeenDie, { xy, sigma }: Outline): { rays: Float64Array; guesses: Int32Array; count: number } {
  const count = sigma.length;
  const [rays, guesses] = [new Float64Array(6 * count), new Int32Array(2 * count)];
  const finder = new ContactFinder(die);
  const at = newContact();
  for (let k = 0; k < count; k++) {
    rays.set(viewingRay(CAMERA, xy[2 * k]!, xy[2 * k + 1]!), 6 * k);
    guesses[k] = k % 7 === 0 ? -1 : at.first;
    guesses[count + k] = at.second;
    finder.find(rays[6 * k]!, rays[6 * k + 1]!, rays[6 * k + 2]!, at);
  }
  return { rays, guesses, count };
}

test('more balls than there is room for are left to a look at all', () => {
  const many = { count: 1022, centres: new Float64Array(3066), radii: new Float64Array(1022) };
  expect(fitMemory().setBalls(many)).toBe(0);
  expect(fitMemory().heldContacts(0, new Float64Array(12), new Int32Array(4), new Float64Array(10))).toBe(2);
});
