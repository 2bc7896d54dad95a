import type { FoundPose } from '../fit/pose-search.ts';
import type { DieKind, DieSolid } from '../geometry/solid.ts';
import type { Shot } from '../geometry/standing.ts';
import { coarseDie, diePose } from './die-pose.ts';
import { FACE_TURNS } from './face-frame.ts';
import { faceLook, type FaceLook } from './face-look.ts';
import { facePictures, type FacePicture } from './face-picture.ts';
import { slotNormals, type SlotNormals } from './front.ts';
import type { FoundDie } from './kind.ts';
import { slotReading, type ReadFace, type SlotReading } from './readings.ts';

/** Cosine of slant from which faces are looked at, and faces of each photo that are read at first, the straightest. */
export const SIGHT = { slant: 0.05, readFirst: 5 } as const;

/** One photo of a die, and what was given of how it stands. */
export interface FacePhoto extends FoundDie {
  readonly photo: string;
  readonly given: Shot | null;
  /** How the die was meant to be laid down; hardly counts beside what the faces show. */
  readonly planned?: Shot | null;
}

/** One photo while it is being worked on. */
export interface Sight {
  readonly given: Pick<FacePhoto, 'photo' | 'given' | 'planned'>;
  readonly pose: FoundPose;
  readonly normals: SlotNormals;
  /** Straightest first. */
  readonly pictures: readonly FacePicture[];
  readonly readings: SlotReading[];
  read: number;
  readonly looks: readonly FaceLook[];
}

/** What one photo shows of a die, before it is known how it stands: plain, so that it may be made elsewhere. */
export interface FaceSight {
  readonly pose: FoundPose;
  /** Straightest first. */
  readonly pictures: readonly FacePicture[];
  /** Of the straightest pictures, of which `read` were tried. */
  readonly readings: readonly SlotReading[];
  readonly read: number;
  /** Of all pictures, in all turns of a face; of a set's first photo as it lies. */
  readonly looks: readonly FaceLook[];
}

/** Looks at one photo: where the die stands, its faces straightened, and the first of them read. @param index  Of the photo in its set. */
export function faceSight(solid: DieSolid, photo: FoundDie, index: number, read: ReadFace): FaceSight {
  const pose = diePose(solid, photo.view, photo.region, photo.crop);
  const pictures = facePictures(coarseDie(solid, photo.view, photo.crop, pose, index), undefined, SIGHT.slant);
  pictures.sort((a, b) => b.slant - a.slant);
  const sight = { pose, pictures, readings: [] as SlotReading[], read: 0 };
  readMore(sight, solid.kind, read, SIGHT.readFirst);
  return { ...sight, looks: faceLooks(pictures, solid.kind, index) };
}

/** Looks of all faces of a photo. Of two photos the later one's are turned: those of a set's first one never. */
export function faceLooks(pictures: readonly FacePicture[], kind: DieKind, index: number): FaceLook[] {
  const turns = index === 0 ? 1 : FACE_TURNS[kind];
  const out: FaceLook[] = [];
  for (const picture of pictures) out.push(faceLook(picture, turns));
  return out;
}

/** A photo's looks joined to what was given of it. */
export const sighted = (
  given: FacePhoto,
  { pose, pictures, readings, read, looks }: FaceSight,
  solid: DieSolid,
): Sight => ({
  ...{ given, pose, normals: slotNormals(solid, pose), pictures, readings: [...readings], read, looks },
});

type Reading = Pick<Sight, 'pictures' | 'readings' | 'read'>;

/** Reads the next straightest faces, until `upTo` of them were tried. */
export function readMore(s: Reading, kind: DieKind, read: ReadFace, upTo: number): void {
  for (; s.read < Math.min(upTo, s.pictures.length); s.read++) {
    const one = slotReading(s.pictures[s.read]!, kind, read);
    if (one) s.readings.push(one);
  }
}
