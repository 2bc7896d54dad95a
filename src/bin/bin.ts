import type { Cv } from '../vision/cv.ts';
import type { CardSight } from '../vision/saddles.ts';
import type { MeasurePhoto, Note } from '../formats/result.ts';
import { shapeOf } from './die.ts';
import { judgedPhoto, leftOut, numbersIn, standardOf, wholeResult, type Standard } from './judge-photo.ts';
import { lookAt, type BinStage, type LookedAt } from './look-at.ts';
import { refined } from './refine.ts';
import type { BinJob, BinPhoto, BinResult } from './types.ts';

/** Photos of a bin, sorted one by one. */
export interface Bin {
  /** Measures one photo, and judges it by what is known so far; its picture is not needed afterwards. */
  addPhoto(photo: MeasurePhoto): BinPhoto;
  /** Judges a frame of a live camera by what is known so far, and forgets it. */
  look(photo: MeasurePhoto): BinPhoto;
  /** Says of a file that no picture came of it. */
  refuse(name: string, note: Note): BinPhoto;
  /** Judges all photos together: one camera, one reference. */
  finish(): BinResult;
}

/**
 * Sorts a bin from its photos; a poor photo costs only itself.
 *
 * @param done  Told of each part of a photo's work that ends.
 */
export function createBin(cv: Cv, job: BinJob, done: (stage: BinStage) => void = () => undefined): Bin {
  const { solid } = shapeOf(job.die, job.apex);
  const photos: (LookedAt | { readonly name: string; readonly left: Note })[] = [];
  const put = (entry: (typeof photos)[number]): void => {
    const i = photos.findIndex((p) => p.name === entry.name);
    if (i < 0) photos.push(entry);
    else photos[i] = entry;
  };
  const seen = (): LookedAt[] => photos.filter((p) => 'things' in p);
  const standard = (all: readonly LookedAt[]): Standard =>
    standardOf(
      all.flatMap((p) => numbersIn(solid, p)),
      job,
    );
  return {
    addPhoto(photo) {
      const twinOf = (sight: CardSight): string | null =>
        seen().find((p) => p.name !== photo.name && samePoints(p.sight, sight))?.name ?? null;
      const looked = lookAt(cv, photo, job, done, twinOf);
      if (!looked.ok) {
        put({ name: photo.name, left: looked.error });
        return leftOut(photo.name, looked.error);
      }
      put(looked.value);
      return judgedPhoto(looked.value, solid, standard(seen()));
    },
    look(photo) {
      const looked = lookAt(cv, photo, job, done);
      if (!looked.ok) return leftOut(photo.name, looked.error);
      return judgedPhoto(looked.value, solid, standard([...seen(), looked.value]));
    },
    refuse(name, left) {
      put({ name, left });
      return leftOut(name, left);
    },
    finish() {
      const again = new Map(refined(seen(), job).map((p) => [p.name, p]));
      const all = standard([...again.values()]);
      const judged = photos.map((p) =>
        'left' in p ? leftOut(p.name, p.left) : judgedPhoto(again.get(p.name)!, solid, all),
      );
      return wholeResult(job, all, judged);
    },
  };
}

const samePoints = (p: CardSight, q: CardSight): boolean =>
  p.picture.length === q.picture.length && p.picture.every((v, i) => v === q.picture[i]);
