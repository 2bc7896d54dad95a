import { failure, success, type Result } from '../result.ts';
import type { Asked } from './asked.ts';
import type { LookedFile } from './look-at-file.ts';
import { createGathering, type NumbersTable } from './measure.ts';
import type { PhotoCrew } from './photo-crew.ts';
import { leftOut } from './photo-result.ts';
import { doneElsewhere, doneInPlace, type Work } from './photo-tasks.ts';
import type { MeasureFailure, MeasureResult, Note, PhotoResult, Progress, SoFar } from '../formats/result.ts';

/** The longest that measuring a set may take, s: this much, and this much for each photo. By judgement; usual photos take some seconds each. */
export const MOST_SECONDS = { set: 60, photo: 20 } as const;

/** A set of photo files, measured as one. */
export interface FileSet {
  /** Takes what a look at one file gave (`lookAtFile`, here or in another worker), in any order. */
  take(looked: LookedFile): PhotoResult;
  /** Which numbers are up in the files added so far; nothing is measured. */
  numbers(crew?: Pick<PhotoCrew, 'task'>): Promise<Result<NumbersTable, MeasureFailure>>;
  /** What is known of the die from the files added so far; null where that is nothing. */
  soFar(crew?: Pick<PhotoCrew, 'task'>): Promise<SoFar | null>;
  /** Asks otherwise from here on of the files added; those that are not asked about any more are forgotten. */
  ask(asked: Asked): void;
  /**
   * Measures from the files added so far; those that are no photos stand in the result with their reason.
   *
   * @param crew  Who goes back to the photos' pixels; left out: all is done here. The result is the same to the last bit.
   */
  finish(
    onProgress?: (progress: Progress) => void,
    crew?: Pick<PhotoCrew, 'task'>,
  ): Promise<Result<MeasureResult, MeasureFailure>>;
}

/**
 * From files to a result: what the page and the command line share.
 *
 * @param now  A clock in seconds, for the result's `timing` and for {@link MOST_SECONDS} alone.
 */
export function createFileSet(first: Asked, now: () => number): FileSet {
  let job = first;
  const gathering = createGathering(job);
  const refused = new Map<string, PhotoResult>();
  const spent: Record<string, number> = {};
  const refuse = (name: string, notes: readonly Note[]): PhotoResult => {
    const shot = job.shots.find(({ photo }) => photo === name);
    const result = leftOut(name, shot?.up ?? '', shot?.front ?? '', notes);
    refused.set(name, result);
    return result;
  };
  const told = (list: readonly PhotoResult[]): PhotoResult[] => list.map((p) => refused.get(p.photo) ?? p);
  return {
    async numbers(crew) {
      const found = await done(gathering.numbering(), crew);
      return found.ok
        ? success({ ...found.value, photos: told(found.value.photos) })
        : failure({ ...found.error, photos: told(found.error.photos) });
    },
    soFar: (crew) => done(gathering.soFar(), crew),
    ask(asked) {
      job = asked;
      gathering.ask(asked);
    },
    take({ name, found, refused: none, spent: took }) {
      refused.delete(name);
      for (const [stage, s] of Object.entries(took)) spent[stage] = (spent[stage] ?? 0) + s;
      return none && !found.ok ? refuse(name, found.error) : gathering.take(name, found);
    },
    async finish(onProgress = () => undefined, crew) {
      const stages = stageTimes(now);
      const most = MOST_SECONDS.set + MOST_SECONDS.photo * job.shots.length;
      const finished = await withinTime(now, most, async (inTime) => {
        const work = gathering.finishing((progress) => {
          inTime();
          stages.enter(progress.stage);
          onProgress(progress);
        });
        return done(work, crew);
      });
      if (finished === 'too-long')
        return failure({ code: 'too-long', seen: most, needed: most, photos: [...refused.values()] });
      if (!finished.ok) return failure({ ...finished.error, photos: told(finished.error.photos) });
      const total = { ...spent, ...stages.end() };
      const perPhoto = Object.entries(total).map(([stage, s]) => [stage, Number((s / job.shots.length).toFixed(4))]);
      const timing = Object.fromEntries(perPhoto) as Record<string, number>;
      return success({ ...finished.value, photos: told(finished.value.photos), timing });
    },
  };
}

const done = async <T>(work: Work<T>, crew: Pick<PhotoCrew, 'task'> | undefined): Promise<T> =>
  crew ? doneElsewhere(work, (task, busy) => crew.task(task, busy)) : doneInPlace(work);

/** What `work` returns, unless it asks whether it is in time after so many seconds: thrown through it, since its loops know of no clock. */
async function withinTime<T>(
  now: () => number,
  seconds: number,
  work: (inTime: () => void) => Promise<T>,
): Promise<T | 'too-long'> {
  const end = now() + seconds;
  const late = new Error('too long');
  try {
    return await work(() => {
      if (now() > end) throw late;
    });
  } catch (thrown) {
    if (thrown !== late) throw thrown;
    return 'too-long';
  }
}

/** Adds up the seconds between one stage and the next. */
function stageTimes(now: () => number): { enter(stage: string): void; end(): Record<string, number> } {
  const spent: Record<string, number> = {};
  let [stage, since] = ['', now()];
  const enter = (next: string): void => {
    if (stage !== '') spent[stage] = (spent[stage] ?? 0) + now() - since;
    [stage, since] = [next, now()];
  };
  return {
    enter,
    end() {
      enter('');
      return spent;
    },
  };
}
