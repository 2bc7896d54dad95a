import type { Px } from '../units.ts';
import { success, type Result } from '../result.ts';
import { CAMERA_PRIOR, GAIN, type CalibrationFailure } from './calibration.ts';
import { printedCalibration, type Bars, type PrintedCalibration } from './print-scale.ts';
import type { CardSight } from './saddles.ts';

/** What is believed of cameras that move while their shutter reads row by row. */
export const SHUTTER = {
  /**
   * Skew, one standard deviation: a hand turning by 0.02 rad/s, 20 ms for 3000 rows and a focal length of 3000 px make 4e-4; some
   * shake more.
   */
  skew: 1e-3,
  /** Mean square of the photos' skews over their doubt from which they are believed. Still cameras show 0 to 1, skews of 0.05 % 40 to 120. */
  significant: 4,
  /** The same from which a first look, before the fit has converged, is followed to its end. */
  hinted: 1,
  /** Skew that is told. */
  told: 3e-4,
} as const;

/** A calibration, and whether the cameras moved (or something else sheared the photos). */
export type ShutterCalibration = PrintedCalibration & { readonly moved: boolean };

/**
 * Calibrates with cameras that are still, unless the card's points say clearly that photos are sheared.
 *
 * A skew let free blurs the principal point (its doubt grows fourfold), so it is let free only where it is significant. Then its usual size in
 * the set is also what a stretch along the other direction, which a tilt hides, may have: hands shake both ways.
 */
export function shutterCalibration(
  sights: readonly CardSight[],
  size: { readonly width: number; readonly height: number },
  focal: Px | null,
  bars: Bars,
): Result<ShutterCalibration, CalibrationFailure> {
  const still = printedCalibration(sights, size, focal, bars);
  if (!still.ok) return still;
  const free = (skew: number, stretch: number, least: number = GAIN.last) =>
    printedCalibration(sights, size, focal, bars, {
      beliefs: { ...CAMERA_PRIOR, skew, stretch },
      from: stretch > CAMERA_PRIOR.stretch ? null : still.value,
      least,
    });
  const glimpsed = free(SHUTTER.skew, CAMERA_PRIOR.stretch, GAIN.passing);
  if (glimpsed.ok && significance(glimpsed.value) < SHUTTER.hinted) return success({ ...still.value, moved: false });
  const tried = free(SHUTTER.skew, CAMERA_PRIOR.stretch);
  if (!tried.ok || significance(tried.value) < SHUTTER.significant) return success({ ...still.value, moved: false });
  const usual = Math.sqrt(meanSquare(tried.value.motion.map((m) => m.skew)));
  const moved = free(Math.max(SHUTTER.skew, usual), usual);
  return success(moved.ok ? { ...moved.value, moved: true } : { ...still.value, moved: false });
}

/** Mean square of the photos' skews over their doubt. */
const significance = ({ motion, skewU }: PrintedCalibration): number =>
  meanSquare(motion.map(({ skew }, i) => skew / skewU[i]!));

const meanSquare = (values: readonly number[]): number => values.reduce((s, v) => s + v * v, 0) / values.length;
