/** A net taught from nothing: the one way in which the reader's weights come to be. */
import type { Fount } from './founts.ts';
import { Pupil, STEPS } from './learn.ts';
import { Samples } from './samples.ts';
import { PATCH_VALUES } from '../../src/faces/reader/net.ts';
import { seededRandom } from '../../src/maths/random.ts';

/** How a training went since it was told last: mean loss, natural logarithm, and share of patches that were right. */
export interface Progress {
  readonly step: number;
  readonly loss: number;
  readonly right: number;
}

/**
 * A net trained for so many steps; the rate rises over the first fiftieth and falls along a cosine. The same seed gives the same net.
 *
 * @param faces Drawn faces kept at a time; the pool's own number if left out.
 * @param tell  Called some thirty times.
 */
export function taught(
  seed: number,
  steps: number,
  founts: readonly Fount[],
  faces?: number,
  tell?: (progress: Progress) => void,
): Pupil {
  const pupil = new Pupil(seed);
  const samples = new Samples(seededRandom(seed), founts, faces);
  const patches = new Float32Array(STEPS.batch * PATCH_VALUES);
  const classes = new Uint8Array(STEPS.batch);
  let [loss, right] = [0, 0];
  const every = Math.max(1, Math.floor(steps / 30));
  for (let step = 0; step < steps; step++) {
    samples.batch(patches, classes);
    const rate = Math.min(1, (50 * (step + 1)) / steps) * 0.5 * (1 + Math.cos((Math.PI * step) / steps));
    const told = pupil.learn(patches, classes, rate);
    [loss, right] = [loss + told.loss, right + told.right];
    if ((step + 1) % every !== 0) continue;
    tell?.({ step: step + 1, loss: loss / every, right: right / every });
    [loss, right] = [0, 0];
  }
  return pupil;
}
