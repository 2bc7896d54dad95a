import { grazedFaces } from '../fit/grazed.ts';
import type { DieState, FitPhoto } from '../fit/die-state.ts';
import { baseFace } from '../geometry/standing.ts';
import type { Crop } from '../vision/picture.ts';
import type { Bump } from './bumps.ts';
import { marksOn } from './marks.ts';
import type { Work } from './photo-tasks.ts';

/** Where proud marks of a die are in the way of its crowns. */
export interface InTheWay {
  /** Those on faces that photos see edge-on. */
  readonly bumps: readonly Bump[];
  /** Whether in some photo the die stands on one: it leans there and stands higher, as on a crown. */
  readonly stoodOn: boolean;
}

export function* proudMarks(
  state: DieState,
  photos: readonly FitPhoto[],
  looks: readonly { readonly crop: Crop }[],
): Work<InTheWay> {
  const grazed = grazedFaces(state, photos);
  const bases = photos.map(({ shot }) => baseFace(state.solid, shot.up));
  const proud = (yield* marksOn(state, photos, looks)).filter(({ raised }) => raised);
  return {
    bumps: proud.flatMap(({ face, foot, size }) => (grazed[face] ? [{ face, foot, reach: size[0] / 2 }] : [])),
    stoodOn: proud.some(({ face }) => bases.includes(face)),
  };
}
