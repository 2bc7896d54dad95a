import type { FoundDie } from '../faces/kind.ts';
import type { DieInPhoto } from '../faces/face-picture.ts';
import { faceSight, type FaceSight } from '../faces/face-sight.ts';
import { readFace } from '../faces/reader/reader.ts';
import type { DieSolid } from '../geometry/solid.ts';
import type { SeenDie } from '../geometry/standing.ts';
import type { DieState, FitPhoto } from '../fit/die-state.ts';
import type { FaceView } from '../marks/face-departure.ts';
import { faceViews } from '../marks/face-views.ts';
import { faceLights, type FaceLight } from '../vision/face-light.ts';
import type { Crop } from '../vision/picture.ts';
import type { Asked as Wanted, Response, Surface } from '../vision/profile.ts';
import type { Region } from '../vision/region.ts';
import { SRGB } from '../vision/tone.ts';
import { coarseStand, type CoarseStand } from './coarse.ts';
import { measuredOutline, type PhotoLook, type RoundResult } from './rounds.ts';

/** A response without its tone curve, which is code: there is one. */
type PlainResponse = Omit<Response, 'tone'>;

/** What the edges of one photo are measured with, beside its pixels. All plain. */
export interface OutlineGiven {
  readonly state: DieState;
  readonly solid: DieSolid;
  readonly photo: FitPhoto;
  readonly index: number;
  readonly look: Omit<PhotoLook, 'crop' | 'response'>;
  readonly response: PlainResponse;
  readonly surface: Surface;
  readonly every: number;
  readonly asked: Wanted;
}

/** Work on one photo's pixels while a set is measured; its arguments and results are plain, so that it may be done where the pixels lie. */
export const PHOTO_TASKS = {
  /** The edges along its die's outline. */
  outline: (crop: Crop, given: OutlineGiven): RoundResult =>
    measuredOutline(
      given.state,
      given.solid,
      given.photo,
      given.index,
      { ...given.look, crop, response: { ...given.response, tone: SRGB } },
      given.surface,
      given.every,
      given.asked,
    ),
  /** How its die stands and what its faces show. */
  sight: (crop: Crop, { solid, view, region, index }: SightGiven): FaceSight =>
    faceSight(solid, { view, region, crop }, index, readFace),
  /** Where its die stands, its numbers being given. */
  stand: (crop: Crop, { solid, photo, region }: StandGiven): CoarseStand => coarseStand(solid, photo, region, crop),
  /** What its faces mirror and how bright they are, the die as it was fitted. */
  light: (crop: Crop, { die, solid, photo, stage, unseen, index }: LightGiven): FaceLight[] =>
    faceLights(crop, die, solid, photo.camera, photo.cameraFromCard, SRGB, stage, unseen, index),
  /** Some faces of the measured die, straightened. */
  views: (crop: Crop, { faces, size, ...die }: ViewsGiven): FaceView[] => faceViews({ ...die, crop }, faces, size),
} as const;

interface SightGiven extends Omit<FoundDie, 'crop'> {
  readonly solid: DieSolid;
  readonly index: number;
}

interface StandGiven {
  readonly solid: DieSolid;
  readonly photo: FitPhoto;
  readonly region: Region;
}

interface LightGiven {
  readonly die: SeenDie;
  readonly solid: DieSolid;
  readonly photo: FitPhoto;
  readonly index: number;
  /** Light of the bare stage, per channel, and over it that of what the picture does not show. */
  readonly stage: readonly number[];
  readonly unseen: number;
}

interface ViewsGiven extends Omit<DieInPhoto, 'crop'> {
  readonly faces: readonly number[];
  /** Pixels per side. */
  readonly size: number;
}

export type TaskKind = keyof typeof PHOTO_TASKS;
export type TaskGiven<K extends TaskKind> = Parameters<(typeof PHOTO_TASKS)[K]>[1];
export type TaskDone<K extends TaskKind> = ReturnType<(typeof PHOTO_TASKS)[K]>;

export interface PhotoTask<K extends TaskKind = TaskKind> {
  readonly kind: K;
  readonly crop: Crop;
  readonly given: TaskGiven<K>;
}

/** Tasks that do not wait for one another. */
export interface TaskBatch {
  readonly tasks: readonly PhotoTask[];
  /** Told whenever one more of them is done: what it gave, and which it was. */
  readonly done: (done: TaskDone<TaskKind>, index: number) => void;
  /** What is done here while others work at them; null for nothing. */
  readonly meanwhile: (() => unknown) | null;
}

/** Measuring that stops wherever pixels are needed: it hands out tasks and goes on with what they gave, in their order. */
export type Work<T> = Generator<TaskBatch, T, readonly TaskDone<TaskKind>[]>;

/** What goes on while tasks of one kind are done: see {@link TaskBatch}. */
interface Beside<K extends TaskKind> extends Pick<TaskBatch, 'meanwhile'> {
  readonly done: (done: TaskDone<K>, index: number) => void;
}

/** The results of one kind of task, in the order of the list. */
export function* forEach<K extends TaskKind>(
  kind: K,
  list: readonly Omit<PhotoTask<K>, 'kind'>[],
  { done = () => undefined, meanwhile = null }: Partial<Beside<K>> = {},
): Work<TaskDone<K>[]> {
  const results = yield {
    tasks: list.map((task) => ({ kind, ...task })),
    done: (one, index) => done(one as TaskDone<K>, index),
    meanwhile,
  };
  return results as TaskDone<K>[];
}

export const doneHere = <K extends TaskKind>({ kind, crop, given }: PhotoTask<K>): TaskDone<K> =>
  (PHOTO_TASKS[kind] as (crop: Crop, given: TaskGiven<K>) => TaskDone<K>)(crop, given);

/** Does all work here, one task after another. */
export function doneInPlace<T>(work: Work<T>): T {
  let step = work.next();
  while (!step.done) {
    const { tasks, done, meanwhile } = step.value;
    meanwhile?.();
    step = work.next(
      tasks.map((task, i) => {
        const result = doneHere(task);
        done(result, i);
        return result;
      }),
    );
  }
  return step.value;
}

/** Does the tasks of each batch wherever `elsewhere` does them, side by side; it is told whether something else is done here meanwhile. */
export async function doneElsewhere<T>(
  work: Work<T>,
  elsewhere: <K extends TaskKind>(task: PhotoTask<K>, busy: boolean) => Promise<TaskDone<K>>,
): Promise<T> {
  let step = work.next();
  while (!step.done) {
    const { tasks, done, meanwhile } = step.value;
    const asked = tasks.map(async (task, i) => {
      const result = await elsewhere(task, meanwhile !== null);
      done(result, i);
      return result;
    });
    meanwhile?.();
    step = work.next(await Promise.all(asked));
  }
  return step.value;
}
