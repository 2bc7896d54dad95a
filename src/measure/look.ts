import type { Px } from '../units.ts';
import { failure, success, type Result } from '../result.ts';
import type { PhotoCoding } from '../formats/photo-coding.ts';
import { edgeBlur } from '../vision/edge-blur.ts';
import type { Region } from '../vision/region.ts';
import type { OpenFront } from '../fit/open-turns.ts';
import { survey, type Survey } from '../vision/survey.ts';
import { asStored, uprightCrop, uprightPlaces, uprightSize } from '../photo/orientation.ts';
import type { JobShot, MeasurePhoto, Note, NumbersFrom } from '../formats/result.ts';

/** Limits of what is accepted of one photo; each says what it is for. */
export const ACCEPT = {
  /** A second thing on the stage counts as a die above this share of the first one's area. */
  secondThing: 0.12,
  /** Stage display value from which highlights are burnt. */
  burnt: 252,
  /** Blur of the die's edge that is remarked on, and that leaves the photo out; px, one standard deviation. */
  blur: 2.2,
  mostBlur: 3,
  /** Blur as fitted (without the rim, which widens the rough one) from which it is remarked on and its shape counts, px. */
  softBlur: 1,
  /** Scatter of the stage's luma that is remarked on, display values: undisturbed sets have 3 to 10. */
  grain: 15,
  /** Display values that die and stage must differ by. */
  contrast: 18,
  /** JPEG quality (of luma's table) below which it is remarked on. */
  quality: 72,
} as const;

/** What is kept of a photo that may be used. */
export interface Added {
  readonly shot: JobShot;
  readonly survey: Survey;
  /** Focal length that the photo's own data state, px, or null. */
  readonly focal: Px | null;
  /** How the stored picture, which all places refer to, is turned to stand upright (EXIF). */
  readonly orientation: number;
  /** Rough blur of the die's edge, px; null where its contrast is too low to tell. */
  readonly blur: number | null;
  /** How its file rounded it; null where nothing is known of that. */
  readonly coding: PhotoCoding | null;
  readonly notes: readonly Note[];
  /** Where the numbers of `shot` come from; not set before they are looked for. */
  readonly numbersFrom?: NumbersFrom;
  /** Where no face tells which number is in front: those that may be, the one that `shot` names among them, which is then a mere guess. */
  readonly openFronts?: readonly OpenFront[];
}

/** Looks at one photo by itself: card, die, exposure, focus. What a set must have in common is judged later. */
export function lookAt(photo: MeasurePhoto, shot: JobShot): Result<Added, readonly Note[]> {
  const { picture, orientation } = asStored(photo.picture, photo.orientation ?? 1);
  const found = survey(picture);
  if (!found.ok) return failure([found.error]);
  const seen = found.value;
  const notes = [...exposure(seen), ...graininess(seen), ...compression(photo.coding)];
  const die = seen.regions[0]!;
  const others = seen.regions.filter((r) => r !== die && r.area > ACCEPT.secondThing * die.area);
  // Lines, and what lies partly on the ring, are no dice.
  const dice = others.filter((r) => r.solid && !r.cut);
  if (dice.length > 0) return failure([{ code: 'several-dice', seen: 1 + dice.length, needed: 1 }, ...notes]);
  const beside = others.length + (die.trimmed ? 1 : 0);
  if (beside > 0) notes.push({ code: 'beside', seen: beside });
  if (atBorder(die, seen)) return failure([{ code: 'die-cut' }, ...notes]);
  if (die.cut) return failure([{ code: 'die-over-ring' }, ...notes]);
  const blur = edgeBlur(seen.crop, die.outline, die.covered);
  const blurred = blur === null ? [] : [blurNote({ low: blur, high: blur })].filter((n) => n !== null);
  if (blur !== null && blur > ACCEPT.mostBlur) return failure([...blurred, ...notes]);
  return success({
    shot,
    survey: seen,
    focal: photo.focal,
    orientation,
    blur,
    coding: photo.coding ?? null,
    notes: [...blurred, ...notes],
  });
}

/** The remark that a blur earns, or null. */
export function blurNote(
  { low, high }: { readonly low: number; readonly high: number },
  most: number = ACCEPT.blur,
): Note | null {
  const blur = Math.max(low, high);
  return blur > most ? { code: 'blur', seen: blur.toFixed(1), needed: most } : null;
}

function graininess({ grain }: Survey): Note[] {
  return grain && grain.coarse > ACCEPT.grain
    ? [{ code: 'noisy', seen: Math.round(grain.coarse), needed: ACCEPT.grain }]
    : [];
}

function compression(coding: PhotoCoding | null | undefined): Note[] {
  return coding && coding.quality < ACCEPT.quality
    ? [{ code: 'compressed', seen: coding.quality, needed: ACCEPT.quality }]
    : [];
}

function exposure({ stage }: Survey): Note[] {
  const brightest = Math.max(...stage);
  return brightest >= ACCEPT.burnt ? [{ code: 'burnt', seen: Math.round(brightest), needed: ACCEPT.burnt }] : [];
}

/** Whether a thing reaches to within its outline's doubt of the picture's border. */
function atBorder({ outline, grain }: Region, { width, height }: Survey): boolean {
  const margin = 2 * grain;
  for (let k = 0; k < outline.length; k++)
    if (outline[k]! < margin || outline[k]! > (k % 2 === 0 ? width : height) - 1 - margin) return true;
  return false;
}

/** The same photo with all its places in the upright picture. */
export function uprightAdded(a: Added): Added {
  if (a.orientation === 1) return a;
  const { survey: s, orientation } = a;
  const placed = (xy: Float64Array): Float64Array => Float64Array.from(uprightPlaces(xy, s, orientation));
  const { width, height } = uprightSize(s, orientation);
  return {
    ...a,
    orientation: 1,
    survey: {
      ...s,
      width,
      height,
      sight: { ...s.sight, picture: placed(s.sight.picture) },
      regions: s.regions.map((r) => ({ ...r, outline: placed(r.outline), spare: r.spare && placed(r.spare) })),
      crop: uprightCrop(s.crop, s, orientation),
    },
  };
}
