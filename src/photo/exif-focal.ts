import { px, type Px } from '../units.ts';

/** Diagonal of the 36 x 24 mm frame that 35 mm equivalents refer to, mm. */
const FRAME = Math.hypot(36, 24);

/**
 * Focal length in px from its 35 mm equivalent: the lens sees the same angle over the picture's diagonal as over the frame's.
 *
 * Source: Exif 2.32, tag 0xA405; CIPA DCG-001, 35 mm equivalent by the diagonal (from memory). It is stored in whole mm, so it
 * is good to some per cent: a start for the calibration, no more.
 *
 * @param focal35  As `sniffImage` gives it.
 * @returns        Null where `focal35` is.
 */
export const focalPx = (focal35: number | null, width: number, height: number): Px | null =>
  focal35 === null ? null : px((focal35 / FRAME) * Math.hypot(width, height));
