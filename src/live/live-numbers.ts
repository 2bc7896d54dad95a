import { numbersOf } from '../faces/numbers.ts';
import { CERTAINTY } from '../faces/photo-numbers.ts';
import { readFace } from '../faces/reader/reader.ts';
import type { CardView } from '../fit/pose.ts';
import { cross, dot, minus, norm, scaled, unitVector, type Vec3 } from '../geometry/vec.ts';
import type { Numbering } from '../geometry/numbering.ts';
import type { DieKind } from '../geometry/solid.ts';
import type { Homography } from '../maths/homography.ts';
import { croppedAround, type Picture } from '../vision/picture.ts';
import type { Region } from '../vision/region.ts';

/** The die that is looked for, as its owner chose it. */
export interface LiveDie {
  readonly kind: DieKind;
  /** Null for the usual one. */
  readonly numbering: Numbering | null;
  readonly apex?: number;
}

/** What one frame tells of how the die stands, as sure as a photo's numbers must be. */
export interface LiveNumbers {
  readonly up: string;
  /** Null where no face tells it. */
  readonly front: string | null;
}

/** Focal length over the frame's longer side where nothing is known: telephones 0.7 to 0.8, webcams about 0.9 (common practice). */
export const FOCAL_SHARE = 0.8;
/** Kept of the frame round the die, px. */
const MARGIN = 24;

/**
 * Which number is up in one frame; null where its faces do not say so surely.
 *
 * The camera is a guess, so the die's own size and kind are not doubted here: the photo itself is judged once it is taken.
 */
export function liveNumbers(frame: Picture, card: Homography, region: Region, die: LiveDie): LiveNumbers | null {
  const view = guessedView(card, frame);
  const crop = croppedAround(frame, region.outline, MARGIN);
  const asked = { ...die, kindSure: true };
  const numbers = numbersOf(asked, [{ photo: '', view, region, crop, given: null }], readFace);
  const found = numbers.ok ? numbers.value.photos[0]! : null;
  if (found === null || found.up === null || (found.chance ?? 1) > CERTAINTY.certain) return null;
  return { up: found.up, front: found.front };
}

/** The camera over the card from a homography and a guessed focal length: its first two columns are the card's axes up to one scale. */
function guessedView(h: Homography, { width, height }: Picture): CardView {
  const f = FOCAL_SHARE * Math.max(width, height);
  const [cx, cy] = [(width - 1) / 2, (height - 1) / 2];
  const sign = h[8]! < 0 ? -1 : 1;
  const column = (k: number): Vec3 => [
    (sign * (h[k]! - cx * h[6 + k]!)) / f,
    (sign * (h[3 + k]! - cy * h[6 + k]!)) / f,
    sign * h[6 + k]!,
  ];
  const [a, b, t] = [column(0), column(1), column(2)];
  const scale = 2 / (norm(a) + norm(b));
  const x = unitVector(a);
  const y = unitVector(minus(b, scaled(x, dot(b, x))));
  const z = cross(x, y);
  const rotation = Float64Array.of(x[0], y[0], z[0], x[1], y[1], z[1], x[2], y[2], z[2]);
  return { camera: { f, cx, cy, k1: 0, k2: 0 }, cameraFromCard: { rotation, shift: scaled(t, scale) } };
}
