import type { FitPhoto } from '../fit/die-state.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { baseFace, type Shot } from '../geometry/standing.ts';
import { dot, vec3At } from '../geometry/vec.ts';
import { median } from '../maths/linear.ts';
import type { Calibration } from '../vision/calibration.ts';
import { coarseStand, type CoarseStand } from './coarse.ts';
import type { Added } from './look.ts';
import type { Note } from '../formats/result.ts';

export const ROUGH = {
  /** Share of a die's width by which its rough outline may depart from the fitted true die. */
  misfit: 0.045,
  /** Share of the set's usual size by which a rough size may differ. */
  size: 0.2,
} as const;

export const fitPhoto = (calibration: Calibration, { shot }: Added, i: number): FitPhoto => ({
  camera: calibration.cameras[i]!,
  cameraFromCard: calibration.cameraFromCard[i]!,
  shot,
});

export const roughStand = (solid: DieSolid, { survey }: Added, photo: FitPhoto): CoarseStand =>
  coarseStand(solid, photo, survey.regions[0]!, survey.crop);

/** Photos whose rough outline agrees with a true die of the set's own size. */
export function agreeing(stands: readonly CoarseStand[]): boolean[] {
  const fits = stands.map((c) => c.misfit < ROUGH.misfit);
  const size = median(stands.filter((_, i) => fits[i]).map((c) => c.distance));
  return stands.map((c, i) => fits[i]! && Math.abs(c.distance / size - 1) < ROUGH.size);
}

/** Per cent of the outline's width, to a tenth. */
const ofWidth = (v: number): number => Number((100 * v).toFixed(1));

/** A departure as the ground of a note. */
export const widthGround = (v: number): Pick<Note, 'as' | 'seen'> => ({ as: 'of-width', seen: ofWidth(v) });

/** Why a rough outline does not fit: another number in front, or no die of this kind and size that stands flat. */
export function roughNote(solid: DieSolid, a: Added, photo: FitPhoto, stand: CoarseStand): Note {
  const { up, front } = a.shot;
  for (const other of otherFronts(solid, a.shot)) {
    const turned = roughStand(solid, a, { ...photo, shot: { up, front: other } });
    if (turned.misfit < ROUGH.misfit / 2)
      return { code: 'up-doubtful', as: 'front', seen: other, needed: `${up}/${front}` };
  }
  if (stand.misfit < ROUGH.misfit)
    return {
      code: 'misfit',
      as: 'size',
      seen: Number((2 * stand.distance).toFixed(1)),
      needed: 100 * ROUGH.size,
    };
  return { code: 'misfit', as: 'of-width', seen: ofWidth(stand.misfit), needed: ofWidth(ROUGH.misfit) };
}

/** Numbers that would turn the die otherwise than `front` does, one for each slant that a face can have beside the given one's. */
function otherFronts(solid: DieSolid, { up, front }: Shot): string[] {
  const base = baseFace(solid, up);
  const slant = (f: number): string => dot(vec3At(solid.normals, f), vec3At(solid.normals, base)).toFixed(6);
  const found = new Map<string, string>();
  solid.labels.forEach((label, f) => {
    if (label !== up && f !== base && slant(f) !== slant(solid.labels.indexOf(front)) && !found.has(slant(f)))
      found.set(slant(f), label);
  });
  return [...found.values()];
}
