import { expect, test } from 'vitest';
import { fitDie } from '../src/fit/die-fit.ts';
import { withCrowns, type DieState, type FitPhoto } from '../src/fit/die-state.ts';
import { TAU_USUAL } from '../src/fit/doubt.ts';
import { elevations } from '../src/fit/grazed.ts';
import { CUT, SHAPE_PRIOR } from '../src/fit/normal-equations.ts';
import { FINISH_PRIOR } from '../src/measure/finish.ts';
import { seededNormal, seededRandom } from '../src/maths/random.ts';
import { CAMERA, exactOutline, shifted, unevenDie } from './support/synthetic-die.ts';
import { poseOver } from './support/render-card.ts';

/** Noise of a point and offset of a whole photo's outline, px: what photos show (`shots/information.ts`). */
const NOISE = { point: 0.12, photo: 0.03 } as const;
const FRAMES = 30;
const CROWN = 0.05;

/** A d6 with crowns of one height, its usual photos, and a sweep of the camera through grazing over one side face. */
function sweep(seed: number): { truth: DieState; photos: FitPhoto[]; face: number } {
  const { truth: flat, photos: usual } = unevenDie('d6', seed);
  const random = seededRandom(seed + 1000);
  const inradius = flat.distances.reduce((s, d) => s + d, 0) / 6;
  const x = (k: number): number => -inradius - 2 + (4 * k) / (FRAMES - 1) + 0.2 * random();
  // The camera looks straight down and moves over the side face that looks to larger x: its stand moves the other way.
  const frames = Array.from({ length: FRAMES }, (_, k) => ({
    photo: { camera: CAMERA, cameraFromCard: poseOver(0, 0, 0, 250), shot: { up: '1', front: '2' } } as FitPhoto,
    stand: { x: x(k), y: 2, yaw: 0.02 * random() },
  }));
  const photos = [...usual, ...frames.map((f) => f.photo)];
  const stands = [...flat.stands, ...frames.map((f) => f.stand)];
  const truth = withCrowns({ ...flat, stands }, new Float64Array(6).fill(CROWN));
  const over = frames.map((_, k) => elevations(truth, photos[usual.length + k]!, usual.length + k));
  const face = flat.solid.labels.findIndex((_, f) => over.some((e) => Math.abs(e[f]!) < 0.004));
  return { truth, photos, face };
}

test('a sweep of 30 frames through grazing tells the crown of its face to 3 um, by outlines as noisy as photos show them', () => {
  const errors = [1, 2].map((seed) => {
    const { truth, photos, face } = sweep(seed);
    expect(face).toBeGreaterThanOrEqual(0);
    const normal = seededNormal(seededRandom(seed + 7));
    const outlines = photos.map((photo, i) => {
      const own = NOISE.photo * normal();
      return shifted(exactOutline(truth, photo, i, 4, NOISE.point), () => own + NOISE.point * normal());
    });
    const start = withCrowns(
      { ...truth, distances: truth.distances.map((d, f) => d + 0.01 * Math.sin(3 * f)) },
      new Float64Array(6).fill(0.03),
    );
    const prior = { ...SHAPE_PRIOR, crowns: FINISH_PRIOR.unknown };
    const { state, stop } = fitDie(start, photos, outlines, {
      prior,
      free: 'whole',
      steps: 60,
      cut: CUT,
      tau: TAU_USUAL,
    });
    expect(stop).toBe('converged');
    return state.crowns![face]! - CROWN;
  });
  for (const e of errors) expect(Math.abs(e)).toBeLessThan(0.003);
});
