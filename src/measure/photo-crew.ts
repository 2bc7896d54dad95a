import type { Decode } from '../photo/open.ts';
import { pixelsTold } from '../photo/sniff.ts';
import type { Pool, PoolWorker } from '../pool/pool.ts';
import { Shares } from '../pool/shares.ts';
import { failure } from '../result.ts';
import type { Crop } from '../vision/picture.ts';
import { lookAtFile, type LookedFile } from './look-at-file.ts';
import { doneHere, type PhotoTask, type TaskDone, type TaskGiven, type TaskKind } from './photo-tasks.ts';

/** What a worker is asked. Crops have numbers; what a worker holds belongs to one set at a time. */
export type CrewQuestion =
  | {
      readonly ask: 'look';
      readonly set: number;
      readonly crop: number;
      readonly name: string;
      readonly bytes: Uint8Array<ArrayBuffer>;
    }
  | {
      readonly ask: 'task';
      readonly set: number;
      readonly crop: number;
      /** The crop itself where the worker said that it does not hold it. */
      readonly pixels: Crop | null;
      readonly kind: TaskKind;
      readonly given: TaskGiven<TaskKind>;
      /** Whether who asks has something else to do meanwhile. */
      readonly busy: boolean;
    };

/** What it answers: a look; a task's result; or that it does not hold the crop. */
export type CrewAnswer =
  { readonly looked: LookedFile } | { readonly done: TaskDone<TaskKind> } | { readonly missing: true };

/** What of an answer is handed over instead of copied: the crop, of which the worker keeps a copy, and the pictures of faces, of which it keeps none. */
export function handedOver(answer: CrewAnswer): ArrayBuffer[] {
  const buffers = new Set<ArrayBufferLike>();
  if ('looked' in answer && answer.looked.found.ok) buffers.add(answer.looked.found.value.survey.crop.data.buffer);
  if ('done' in answer) for (const { buffer } of picturesOf(answer.done)) buffers.add(buffer);
  return [...buffers].filter((buffer) => buffer instanceof ArrayBuffer);
}

/** What a task's result holds of faces' pixels. */
function picturesOf(done: TaskDone<TaskKind>): (Float32Array | Uint8Array)[] {
  if (Array.isArray(done))
    return done.flatMap((one) => ('picture' in one ? [one.picture.light, one.departure.values] : []));
  if (!('pictures' in done)) return [];
  const looks = done.looks.flatMap(({ turned }) => turned.map(({ cells }) => cells));
  return [...done.pictures.flatMap(({ light, mask }) => [light, mask]), ...looks];
}

/**
 * One worker's side: looks at files, keeps the crops round their dice, and works on those.
 *
 * @param apart  Whether its answers go to another thread: their crops may be handed over, so it keeps copies.
 */
export function crewMember<Bytes extends Uint8Array<ArrayBuffer>>(
  decode: Decode<Bytes>,
  now: () => number,
  apart = true,
): (question: CrewQuestion) => Promise<CrewAnswer> {
  const crops = new Map<number, Crop>();
  let set = 0;
  return async (question) => {
    if (question.set !== set) crops.clear();
    set = question.set;
    if (question.ask === 'look') {
      const looked = await lookAtFile(question.name, question.bytes as Bytes, decode, now);
      if (looked.found.ok) {
        const { crop } = looked.found.value.survey;
        crops.set(question.crop, apart ? copied(crop) : crop);
      }
      return { looked };
    }
    const crop = question.pixels ?? crops.get(question.crop);
    if (!crop) return { missing: true };
    crops.set(question.crop, crop);
    return { done: doneHere({ kind: question.kind, crop, given: question.given }) };
  };
}

const copied = (crop: Crop): Crop => ({ ...crop, data: crop.data.slice() });

/** Photos that whoever works alone has in hand where another core is free: one is decoded, on a thread of its own, while it works on the other. */
export const IN_HAND = 2;

/** Tasks that may wait at a worker: one, so that it need not stand idle until whoever asks, who works as well, has heard it; more where that one is long about something else. */
const TASKS_WAITING = { usual: 1, busy: 4 } as const;

/** A worker at which tasks may wait. Looks may not: a third photo decoded at once would cost more in memory's pages than the waiting does. */
export const tasksWait = <Answer>(worker: PoolWorker<CrewQuestion, Answer>): PoolWorker<CrewQuestion, Answer> => ({
  ...worker,
  waitingRoom: (question) => (question.ask === 'look' ? 0 : question.busy ? TASKS_WAITING.busy : TASKS_WAITING.usual),
});

/** Who works on the photos of a set. */
export interface PhotoCrew {
  /** Photos looked at at once. */
  readonly size: number;
  /** Never rejects: a file whose look ended two workers is no photo that can be read. */
  look(name: string, bytes: Uint8Array<ArrayBuffer>): Promise<LookedFile>;
  /**
   * Never rejects: what no worker does is done here.
   *
   * @param busy  Whether who asks has something else to do meanwhile.
   */
  task<K extends TaskKind>(task: PhotoTask<K>, busy?: boolean): Promise<TaskDone<K>>;
  /** Another set begins: the workers may forget what they hold. */
  forget(): void;
  close(): void;
}

/** Pixels that are looked at at once, for each of several workers: larger photos are looked at one by one, or their memory would be too much. */
const PIXELS_AT_ONCE = 24e6;

export function photoCrew(pool: Pool<CrewQuestion, CrewAnswer>): PhotoCrew {
  const numbers = new WeakMap<Crop, number>();
  const atOnce = new Shares(PIXELS_AT_ONCE * pool.size);
  let [set, last] = [1, 0];
  const numberOf = (crop: Crop): number => {
    const known = numbers.get(crop) ?? ++last;
    numbers.set(crop, known);
    return known;
  };
  return {
    size: pool.size,
    async look(name, bytes) {
      const crop = ++last;
      const question = { ask: 'look', set, crop, name, bytes } as const;
      const answer = await atOnce.with(pool.size > 1 ? pixelsTold(bytes) : 0, () => pool.ask(question));
      if (!answer.ok || !('looked' in answer.value)) {
        const seen = answer.ok ? '' : answer.error.detail;
        return { name, found: failure([{ code: 'unreadable', seen }]), refused: true, spent: {} };
      }
      const { looked } = answer.value;
      if (looked.found.ok) numbers.set(looked.found.value.survey.crop, crop);
      return looked;
    },
    async task<K extends TaskKind>({ kind, crop, given }: PhotoTask<K>, busy = false): Promise<TaskDone<K>> {
      for (const pixels of [null, crop]) {
        const answer = await pool.ask({ ask: 'task', set, crop: numberOf(crop), pixels, kind, given, busy });
        if (answer.ok && 'done' in answer.value) return answer.value.done as TaskDone<K>;
      }
      return doneHere({ kind, crop, given });
    },
    forget: () => void set++,
    close: () => pool.close(),
  };
}
