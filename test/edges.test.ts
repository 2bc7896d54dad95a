import { describe, expect, test } from 'vitest';
import { fitDie } from '../src/fit/die-fit.ts';
import { seenIn, type DieState, type FitPhoto } from '../src/fit/die-state.ts';
import { CUT, SHAPE_PRIOR } from '../src/fit/normal-equations.ts';
import { TAU_LEAST } from '../src/fit/doubt.ts';
import { outlineOf } from '../src/geometry/outline.ts';
import { rimOf } from '../src/geometry/rim.ts';
import { trueDie } from '../src/measure/coarse.ts';
import { CURVE_STEP, measuredOutline, type PhotoLook } from '../src/measure/rounds.ts';
import { edgeBlur } from '../src/vision/edge-blur.ts';
import type { Blur, EdgeSet } from '../src/vision/edge-set.ts';
import { measureEdges } from '../src/vision/edges.ts';
import { LUMA, type Crop } from '../src/vision/picture.ts';
import { HALF_COLOUR_BLUR, type Asked, type Response, type Surface } from '../src/vision/profile.ts';
import { SRGB } from '../src/vision/tone.ts';
import { rendered, scene } from './support/render-card.ts';
import { unevenDie } from './support/synthetic-die.ts';

/** A die that mirrors nothing, of even light, seen without sharpening: what is left is where an edge lies. */
const MATT: Surface = { mirror: 0, rough: 0, limb: 0, shade: 0 };
const PLAIN: Response = { tone: SRGB, sharpening: 0, radius: 1.5, plane: LUMA, colourBlur: HALF_COLOUR_BLUR };
const LIGHT = { die: 0.12, stage: 0.7 } as const;

interface Lens {
  readonly blur: number;
  readonly noise: number;
  readonly seed: number;
  readonly light?: number;
  /** As of a scene: a coarse rendering is a noise of its own. */
  readonly samples?: number;
}

/** The blur of a photo's edge: the lens's, and the pixel's own area. */
const edgeSigma = (blur: number): Blur => {
  const sigma = Math.hypot(blur, Math.sqrt(1 / 12));
  return { low: sigma, high: sigma, top: 16 };
};

/** The part of a photo round its die, rendered. */
function cropOf(
  state: DieState,
  photo: FitPhoto,
  i: number,
  { blur, noise, seed, light = LIGHT.die, samples = 6 }: Lens,
): Crop {
  const die = seenIn(state, photo, i);
  const { xy } = outlineOf(die, photo.camera, 4);
  const [us, vs] = [xy.filter((_, k) => k % 2 === 0), xy.filter((_, k) => k % 2 === 1)];
  const [left, top] = [Math.floor(Math.min(...us)) - 14, Math.floor(Math.min(...vs)) - 14];
  const [width, height] = [Math.ceil(Math.max(...us)) + 15 - left, Math.ceil(Math.max(...vs)) + 15 - top];
  const { cameraFromCard } = photo;
  const camera = { ...photo.camera, cx: photo.camera.cx - left, cy: photo.camera.cy - top };
  const picture = rendered(
    scene({
      width,
      height,
      camera,
      cameraFromCard,
      stage: LIGHT.stage,
      blur,
      noise,
      seed,
      samples,
      die: { balls: die, light },
    }),
  );
  return { ...picture, data: picture.data as Uint8Array, left, top };
}

/** Edges measured along the die's outline as it is believed to be. */
function edgesOf(
  crop: Crop,
  believed: DieState,
  photo: FitPhoto,
  i: number,
  blur: number,
  noise: number,
  asked: Asked = 'nothing',
): EdgeSet {
  const die = seenIn(believed, photo, i);
  const curve = outlineOf(die, photo.camera, CURVE_STEP);
  const rim = rimOf(die, believed.solid, photo.camera, photo.cameraFromCard, curve, 1);
  return measureEdges(crop, curve, rim, MATT, edgeSigma(blur), { inside: noise, outside: noise }, PLAIN, { asked });
}

const good = ({ offset, sigma }: EdgeSet): [number, number][] =>
  Array.from(offset, (o, k): [number, number] => [o, sigma[k]!]).filter(([, s]) => Number.isFinite(s));
const mean = (values: readonly number[]): number => values.reduce((s, v) => s + v, 0) / values.length;
const rms = (values: readonly number[]): number => Math.sqrt(mean(values.map((v) => v * v)));

const { truth, photos } = unevenDie('d8', 41, 1);

/** The photo with its principal point moved: the same die, elsewhere on the pixels. */
const movedPhoto = (du: number, dv: number): FitPhoto => {
  const { camera } = photos[0]!;
  return { ...photos[0]!, camera: { ...camera, cx: camera.cx + du, cy: camera.cy + dv } };
};

describe('where an edge lies, by tenths of a pixel', () => {
  // A wide blur leaves few pixels that tell the levels on either side: its bias is larger.
  test.each([
    [0.4, 0.005],
    [0.8, 0.005],
    [1.4, 0.02],
  ])('blurred by %f px, without noise: no bias, wherever it falls on the pixels', (blur, most) => {
    const means: number[] = [];
    for (let k = 0; k < 5; k++) {
      const photo = movedPhoto(0.1 + 0.2 * k, 0.37 * k);
      const offsets = good(edgesOf(cropOf(truth, photo, 0, { blur, noise: 0, seed: 1 }), truth, photo, 0, blur, 1));
      expect(offsets.length).toBeGreaterThan(60);
      expect(rms(offsets.map(([o]) => o))).toBeLessThan(0.02 + most);
      means.push(mean(offsets.map(([o]) => o)));
    }
    for (const m of means) expect(Math.abs(m)).toBeLessThan(most);
  });

  test('a light die on a dark stage, and a faint one', () => {
    for (const light of [0.95, 0.5]) {
      const crop = cropOf(truth, photos[0]!, 0, { blur: 0.8, noise: 0, seed: 1, light });
      const offsets = good(edgesOf(crop, truth, photos[0]!, 0, 0.8, 1)).map(([o]) => o);
      expect(offsets.length).toBeGreaterThan(60);
      expect(Math.abs(mean(offsets))).toBeLessThan(0.02);
    }
  });

  test('seen from a belief that is off by some tenths: just as far back', () => {
    const photo = photos[0]!;
    const crop = cropOf(truth, photo, 0, { blur: 0.8, noise: 0, seed: 1 });
    for (const du of [-0.6, -0.2, 0.3, 0.7]) {
      const edges = edgesOf(crop, truth, movedPhoto(du, 0), 0, 0.8, 1);
      // Along a normal that stands at an angle to u the offset is its cosine's share.
      for (let k = 0; k < edges.count; k++) {
        if (!Number.isFinite(edges.sigma[k]!)) continue;
        expect(Math.abs(edges.offset[k]! + du * edges.normal[2 * k]!)).toBeLessThan(0.09);
      }
      const along = Array.from({ length: edges.count }, (_, k) => k).filter(
        (k) => Math.abs(edges.normal[2 * k]!) > 0.8 && Number.isFinite(edges.sigma[k]!),
      );
      expect(Math.abs(mean(along.map((k) => edges.offset[k]! / edges.normal[2 * k]!)) + du)).toBeLessThan(0.01);
    }
  });

  test.each([
    [1, 0.6],
    [2.5, 0.9],
  ])('with noise of %f: scattered as its sigma says, without bias', (noise, blur) => {
    const z: number[] = [];
    for (let seed = 1; seed <= 3; seed++) {
      const photo = movedPhoto(0.23 * seed, 0.11 * seed);
      const crop = cropOf(truth, photo, 0, { blur, noise, seed, samples: 16 });
      // Rounding to whole display values is noise too, of a twelfth.
      const edges = good(edgesOf(crop, truth, photo, 0, blur, Math.hypot(noise, Math.sqrt(1 / 12))));
      z.push(...edges.map(([o, s]) => o / s));
      expect(Math.abs(mean(edges.map(([o]) => o)))).toBeLessThan(0.01);
    }
    expect(rms(z)).toBeGreaterThan(0.8);
    expect(rms(z)).toBeLessThan(1.2);
    expect(z.filter((v) => Math.abs(v) < 2).length / z.length).toBeGreaterThan(0.92);
  });

  test('noise is read off the pixels', () => {
    const crop = cropOf(truth, photos[0]!, 0, { blur: 0.8, noise: 3, seed: 9 });
    const { noise } = edgesOf(crop, truth, photos[0]!, 0, 0.8, 2, 'look');
    for (const n of [noise.inside, noise.outside]) {
      expect(n).toBeGreaterThan(2.4);
      expect(n).toBeLessThan(3.5);
    }
  });

  test('a stage that is no lighter than the die tells nothing', () => {
    const crop = cropOf(truth, photos[0]!, 0, { blur: 0.8, noise: 1, seed: 1, light: LIGHT.stage });
    expect(good(edgesOf(crop, truth, photos[0]!, 0, 0.8, 1))).toEqual([]);
  });
});

test.each([0.6, 1.2, 2, 3])('a rough outline tells a blur of %f px', (blur) => {
  const crop = cropOf(truth, photos[0]!, 0, { blur, noise: 1.5, seed: 3 });
  const { xy } = outlineOf(seenIn(truth, photos[0]!, 0), photos[0]!.camera, 3);
  // As far off as a rough outline may be.
  const off = xy.map((v, k) => v + (k % 2 === 0 ? 1.5 : -1));
  expect(Math.abs(edgeBlur(crop, off)! - edgeSigma(blur).low)).toBeLessThan(0.25 + 0.1 * blur);
});

test('an ideal picture comes out right: axes to a micrometre, mean radius to three', () => {
  const { truth: die, photos: views } = unevenDie('d8', 43);
  const lens = { blur: 0.7, noise: 0.3 };
  const looks = views.map((photo, i): PhotoLook => ({
    crop: cropOf(die, photo, i, { ...lens, seed: 10 + i }),
    blur: edgeSigma(lens.blur),
    noise: { inside: 0.5, outside: 0.5 },
    response: PLAIN,
  }));
  const start = trueDie(
    die.solid,
    die.distances.reduce((s, d) => s + d, 0) / 8,
    die.stands.map((s) => ({ x: s.x + 0.05, y: s.y, yaw: s.yaw + 0.005 })),
  );
  let state: DieState = { ...start, distances: start.distances.map((d, f) => d + 0.002 * Math.sin(1 + 2.4 * f)) };
  for (let round = 0; round < 4; round++) {
    const outlines = views.map(
      (photo, i) => measuredOutline(state, die.solid, photo, i, looks[i]!, MATT, round < 3 ? 2 : 1, 'nothing').outline,
    );
    state = fitDie(state, views, outlines, {
      prior: SHAPE_PRIOR,
      free: 'whole',
      steps: 20,
      cut: CUT,
      tau: TAU_LEAST,
    }).state;
  }
  const axes = (s: DieState): number[] =>
    s.solid.opposite.flatMap((o, f) => (o > f ? [s.distances[f]! + s.distances[o]!] : []));
  const errors = axes(state).map((v, k) => 1e3 * (v - axes(die)[k]!));
  expect(rms(errors), 'axes, um').toBeLessThan(1);
  const radius = (s: DieState): number => mean([...s.radii]);
  expect(1e3 * Math.abs(radius(state) - radius(die)), 'mean radius, um').toBeLessThan(3);
});
