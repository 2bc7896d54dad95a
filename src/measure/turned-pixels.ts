import { uprightAdded, type Added } from './look.ts';
import type { Result } from '../result.ts';
import { CAMERA_PRIOR, type CalibrationFailure } from '../vision/calibration.ts';
import type { PrintedCalibration } from '../vision/print-scale.ts';
import { SHUTTER, type ShutterCalibration } from '../vision/shutter.ts';

type Found = Result<ShutterCalibration, CalibrationFailure>;

/** A set's photos as one camera saw them, its calibration, and which of them had been turned half round before they were stored. */
export interface AsSeen {
  readonly photos: readonly Added[];
  readonly calibration: Found;
  readonly turned: readonly Added[];
}

/** What EXIF's orientation becomes when the stored pixels are turned by half a turn. */
const HALF_TURN: Readonly<Record<number, number>> = { 1: 3, 3: 1, 6: 8, 8: 6, 2: 4, 4: 2, 5: 7, 7: 5 };

/** The photo with its stored pixels turned half round: all places in the turned picture; shown it stands as before. */
export const halfTurned = (a: Added): Added => ({
  ...uprightAdded({ ...a, orientation: 3 }),
  orientation: HALF_TURN[a.orientation] ?? 1,
});

/**
 * Undoes turns that a program baked into the pixels of some photos without a flag.
 *
 * A camera's principal point lies some px off the picture's middle and is the same in all photos; in a photo turned by half a turn it lies on the
 * other side, which the card's points show as if the camera had been sheared or refocused. Only where they do are turns tried, one
 * photo at a time, as long as that makes the points agree better.
 */
export function asSeen(
  photos: readonly Added[],
  calibrated: (photos: readonly Added[]) => Found,
  still: (photos: readonly Added[]) => Result<PrintedCalibration, CalibrationFailure>,
): AsSeen {
  const given = calibrated(photos);
  const none: AsSeen = { photos, calibration: given, turned: [] };
  if (!given.ok || !given.value.moved || photos.length < 2) return none;
  const sigma = given.value.sigma;
  let [least, turned] = [Infinity, [] as readonly number[]];
  for (;;) {
    const tried = photos.flatMap((_, i) => (turned.includes(i) ? [] : [[...turned, i]]));
    const costs = tried.map((list) => {
      const found = still(withTurned(photos, list));
      return found.ok ? costOf(found.value, sigma) : Infinity;
    });
    const at = costs.indexOf(Math.min(...costs));
    if (at < 0 || !(costs[at]! < least)) break;
    [least, turned] = [costs[at]!, tried[at]!];
  }
  // A set turned as a whole is the same camera's: of two parts that were turned against each other the smaller one is told.
  if (2 * turned.length > photos.length) turned = photos.map((_, i) => i).filter((i) => !turned.includes(i));
  const best = withTurned(photos, turned);
  const found = calibrated(best);
  // Skew and stretch of each photo fit noise besides: half a unit of the cost each.
  if (!found.ok || found.value.moved || !(least < costOf(given.value, sigma) + photos.length)) return none;
  return { photos: best, calibration: found, turned: turned.map((i) => best[i]!) };
}

const withTurned = (photos: readonly Added[], list: readonly number[]): Added[] =>
  photos.map((a, i) => (list.includes(i) ? halfTurned(a) : a));

/** Half the weighted squares of all points, kept or not (beyond 20 sigma they count no more), and of what was believed of each photo. */
function costOf({ errors, at }: PrintedCalibration, sigma: number): number {
  const points = errors.reduce((s, e) => s + e.reduce((t, v) => t + Math.min(400, (v / sigma) ** 2), 0), 0);
  const focus = at.focus.reduce((s, d) => s + (d / CAMERA_PRIOR.focus) ** 2, 0);
  const skew = at.motion.reduce((s, m) => s + (m.skew / SHUTTER.skew) ** 2, 0);
  return (points + focus + skew) / 2;
}
