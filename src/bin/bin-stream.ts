import type { Note } from '../formats/result.ts';
import type { Result } from '../result.ts';
import { shapeOf } from './die.ts';
import { judgedPhoto, leftOut, numbersIn, standardOf, type Judgeable, type Standard } from './judge-photo.ts';
import type { LookedAt } from './look-at.ts';
import { cameraOf, together, TOGETHER } from './refine.ts';
import type { DieNumbers } from './reference.ts';
import type { BinJob, BinPhoto } from './types.ts';

/** Where what is known of photos lies until all are seen: on a disk, or in memory. A later value under a number takes the place of the first. */
export interface PhotoStore {
  put(number: number, photo: Judgeable): void;
  get(number: number): Judgeable;
}

/** What came of a photo by itself. */
export type Looked = Result<LookedAt, Note>;

/** A bin of any number of photos: of each but a few only some numbers per die stay in memory. */
export interface BinStream {
  /** The next photo, in their order; says why it is left out, if it is. */
  add(name: string, looked: Looked): Note | null;
  /** All photos judged together, one after the other: the same as of a bin that holds them all. */
  finish(): { readonly standard: Standard; readonly photos: Iterable<BinPhoto> };
}

/** Photos of one camera that wait for their fellows, and those before them, which the last few are calibrated with. */
interface Camera {
  before: readonly Numbered[];
  waiting: Numbered[];
}
interface Numbered {
  readonly number: number;
  readonly photo: LookedAt;
}

export function createBinStream(job: BinJob, store: PhotoStore): BinStream {
  const { solid } = shapeOf(job.die, job.apex);
  const entries: (string | { readonly name: string; readonly left: Note })[] = [];
  const numbers: (readonly DieNumbers[])[] = [];
  const cameras = new Map<string, Camera>();
  const twins = new Map<string, string>();
  const keep = (number: number, photo: LookedAt): void => {
    numbers[number] = numbersIn(solid, photo);
    store.put(number, judgeable(photo));
  };
  const refine = (photos: readonly Numbered[]): void => {
    const again = together(
      photos.map((p) => p.photo),
      job,
    );
    again.forEach((photo, i) => {
      if (photo !== photos[i]!.photo) keep(photos[i]!.number, photo);
    });
  };
  const leave = (name: string, left: Note): Note => {
    entries.push({ name, left });
    return left;
  };
  return {
    add(name, looked) {
      if (!looked.ok) return leave(name, looked.error);
      const photo = looked.value;
      const points = photo.sight.picture.join(' ');
      const twin = twins.get(points);
      if (twin !== undefined) return leave(name, { code: 'duplicate', seen: twin });
      twins.set(points, name);
      const one = { number: entries.push(name) - 1, photo };
      keep(one.number, photo);
      const key = cameraOf(photo);
      const camera = cameras.get(key) ?? { before: [], waiting: [] };
      cameras.set(key, camera);
      camera.waiting.push(one);
      if (camera.waiting.length === TOGETHER) {
        refine(camera.waiting);
        [camera.before, camera.waiting] = [camera.waiting, []];
      }
      return null;
    },
    finish() {
      for (const { before, waiting } of cameras.values())
        if (waiting.length > 0) refine([...before.slice(waiting.length), ...waiting]);
      cameras.clear();
      const standard = standardOf(numbers.flat(), job);
      function* photos(): Generator<BinPhoto, void, void> {
        for (const [number, entry] of entries.entries())
          yield typeof entry === 'string'
            ? judgedPhoto(store.get(number), solid, standard)
            : leftOut(entry.name, entry.left);
      }
      return { standard, photos: photos() };
    },
  };
}

const NO_EDGES = {
  xy: new Float64Array(0),
  normal: new Float64Array(0),
  sigma: new Float64Array(0),
  byTerm: new Float64Array(0),
  terms: 0,
};

/** A photo without its points: what its verdicts are made of. */
function judgeable(photo: LookedAt): Judgeable {
  const { name, width, height, orientation, view, focalU, print, notes } = photo;
  const things = photo.things.map((t) => (t.code === 'die' ? { ...t, edges: NO_EDGES } : t));
  return { name, width, height, orientation, view, focalU, print, things, notes };
}

/** A store in memory. */
export function memoryStore(): PhotoStore {
  const photos: Judgeable[] = [];
  return {
    put: (number, photo) => void (photos[number] = photo),
    get: (number) => photos[number]!,
  };
}
