import type { CardView } from '../fit/pose.ts';
import type { PrintedCalibration } from '../vision/print-scale.ts';
import { dieFigures, shapeOf, type MeasuredDie, type OtherThing } from './die.ts';
import { outlineFit } from './fit/outline-fit.ts';
import { calibrated, focalDoubt, printDoubt, type LookedAt } from './look-at.ts';
import type { BinJob } from './types.ts';

/** Photos that are calibrated together: more gain little, and one odd photo spoils fewer. */
export const TOGETHER = 6;

/** Photos of one size and stated focal length are taken for one camera's. */
export const cameraOf = (p: Pick<LookedAt, 'width' | 'height' | 'focal'>): string =>
  `${p.width} ${p.height} ${p.focal ?? ''}`;

/** Cameras found from several photos together, and the dice fitted anew in them; the photos as they are where that fails. */
export function together(photos: readonly LookedAt[], job: BinJob): readonly LookedAt[] {
  const first = photos[0];
  if (!first || photos.length < 2) return photos;
  const joint = calibrated(
    photos.map((p) => p.sight),
    first,
    first.focal,
    job,
  );
  if (!joint.ok || joint.value.sigma > JOINT_SIGMA * (first.width / 2000)) return photos;
  return photos.map((p, k) => refitted(p, joint.value, k, job));
}

/** Photos of any cameras, each fitted anew with its neighbours of the same; in their order. */
export function refined(photos: readonly LookedAt[], job: BinJob): LookedAt[] {
  const out = [...photos];
  const groups = new Map<string, number[]>();
  photos.forEach((p, i) => groups.set(cameraOf(p), [...(groups.get(cameraOf(p)) ?? []), i]));
  for (const group of groups.values())
    for (let from = 0; from < group.length; from += TOGETHER) {
      // The last few are calibrated with some before them.
      const last = Math.min(group.length, from + TOGETHER);
      const places = group.slice(Math.max(0, Math.min(from, last - TOGETHER)), last);
      const again = together(
        places.map((i) => photos[i]!),
        job,
      );
      places.forEach((i, k) => {
        if (again[k] !== photos[i]) out[i] = again[k]!;
      });
    }
  return out;
}

/** Scatter of the card's points over which photos are no photos of one camera, px on a picture 2000 px wide. */
const JOINT_SIGMA = 0.12;

function refitted(photo: LookedAt, joint: PrintedCalibration, k: number, job: BinJob): LookedAt {
  const view: CardView = { camera: joint.cameras[k]!, cameraFromCard: joint.cameraFromCard[k]! };
  const shape = shapeOf(job.die, job.apex);
  const things = photo.things.map((t): MeasuredDie | OtherThing => {
    if (t.code !== 'die') return t;
    const found = outlineFit(shape, view, t.edges, t.pose);
    return found ? { ...t, found: dieFigures(found), pose: found.fit.pose } : t;
  });
  return { ...photo, view, things, focalU: focalDoubt(joint), print: printDoubt(joint) };
}
