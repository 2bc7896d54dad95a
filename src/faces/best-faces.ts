import { FACE_TURNS } from './face-frame.ts';
import { turnedPicture, type FacePicture } from './face-picture.ts';
import type { SetNumbers } from './numbers.ts';
import type { SeenFace } from './photo-numbers.ts';

/** The best picture of a face that a set has: its number, the photo's name, and the face in its own frame (`faceFrames`). */
export interface BestFace {
  readonly label: string;
  readonly photo: string;
  readonly picture: FacePicture;
}

/** For each face of the numbering's solid the picture that shows most of it, of all photos whose numbers are known; null where none does. */
export function bestFaces({ kind, photos, solid }: SetNumbers): (BestFace | null)[] {
  const turns = FACE_TURNS[kind];
  return solid.labels.map((label) => {
    let best: { readonly photo: string; readonly seen: SeenFace } | null = null;
    for (const { photo, faces } of photos)
      for (const seen of faces)
        if (seen.label === label && (best === null || detail(seen) > detail(best.seen))) best = { photo, seen };
    return best && { label, photo: best.photo, picture: turnedPicture(best.seen.picture, turns, best.seen.turn) };
  });
}

/** Which faces have a picture, each with the photo that it is taken from, and which have none. */
export const shownFaces = (
  { solid }: SetNumbers,
  best: readonly (BestFace | null)[],
): { readonly faces: { readonly face: string; readonly photo: string }[]; readonly unseen: string[] } => ({
  faces: best.flatMap((b) => (b ? [{ face: b.label, photo: b.photo }] : [])),
  unseen: solid.labels.filter((_, f) => !best[f]),
});

/** Fewest photo pixels per straightened pixel: what slant and distance leave of detail. */
const detail = ({ picture: { photoPx } }: SeenFace): number => photoPx[0];
