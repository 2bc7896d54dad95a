import {
  IN_HAND,
  photoCrew,
  tasksWait,
  type CrewAnswer,
  type CrewQuestion,
  type PhotoCrew,
} from '../src/measure/photo-crew.ts';
import type { LookedFile } from '../src/measure/look-at-file.ts';
import { createPool, ownFirst, type Pool, type PoolWorker } from '../src/pool/pool.ts';
import { photoMember } from './photo-member.ts';
import type { PhotoAnswer, PhotoQuestion } from './photo-protocol.ts';
import { photosAtOnce } from './pool-size.ts';
import { webWorker } from './web-worker.ts';

/** Workers on photos, started by the vision worker and ended with it. */
export interface PageCrew extends PhotoCrew {
  /** Whether the vision worker is all of it. */
  readonly alone: boolean;
  /** Looks at a file and makes its photo small; whoever asks owns the thumbnail. */
  lookSmall(
    name: string,
    bytes: Uint8Array<ArrayBuffer>,
  ): Promise<{ readonly looked: LookedFile; readonly thumbnail: ImageBitmap | null }>;
}

/**
 * Sets of so few photos are worked on in the vision worker alone where photos would have so few workers. Each worker makes its own machine code of
 * what it runs, on cores that the others need: of the small sample that is more than half of all processor time (4.1 s with one worker, 5.2 with
 * two beside it).
 */
export const IN_ONE = { photos: 4, workers: 2 } as const;

type Member = ReturnType<typeof photoMember>;

/** Who works on a set of so many photos. */
export interface PageCrews {
  for(photos: number): PageCrew;
}

/** Crews, each started when it is needed: as many workers as the machine serves, of which the one that asks is one, or that one alone. */
export function pageCrews(size: number = photosAtOnce()): PageCrews {
  let here: PageCrew | null = null;
  let beside: PageCrew | null = null;
  let own: Member | null = null;
  const fewWorkers = size <= IN_ONE.workers;
  const ownMember = (): Member => (own ??= photoMember());
  /** One that is lost is not asked again. */
  const ownWork = (): PoolWorker<CrewQuestion, PhotoAnswer> => {
    const mine = ownMember();
    return {
      ask: (question) => mine(question),
      end() {
        if (own === mine) own = null;
      },
    };
  };
  return {
    for(photos) {
      const few = fewWorkers && photos <= IN_ONE.photos;
      if (!few && size > 1 && typeof Worker !== 'undefined') {
        // Of no use beside the others, of whom another own one is: each counts its crops for itself.
        if (here === null) own = null;
        return (beside ??= pageCrew(createPool(ownFirst(photoMember(), otherWorker, nextTurn), size), false));
      }
      return (here ??= pageCrew(createPool(ownWork, Math.min(size, IN_HAND)), true));
    },
  };
}

function pageCrew(pool: Pool<CrewQuestion, PhotoAnswer>, alone: boolean): PageCrew {
  const thumbnails = new Map<LookedFile, ImageBitmap | null>();
  const crew = photoCrew(keeping(pool, thumbnails));
  return {
    ...crew,
    alone,
    async lookSmall(name, bytes) {
      const looked = await crew.look(name, bytes);
      const thumbnail = thumbnails.get(looked) ?? null;
      thumbnails.delete(looked);
      return { looked, thumbnail };
    },
  };
}

/** Resolves after the messages that have come by now; a timer would wait longer. */
const nextTurn = (): Promise<unknown> =>
  new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => {
      // A port that listens is kept as long as it has its other end.
      port1.close();
      resolve(null);
    };
    port2.postMessage(null);
  });

function otherWorker(): PoolWorker<CrewQuestion, PhotoAnswer> {
  const start = (): Worker => new Worker(new URL('./photo.worker.ts', import.meta.url), { type: 'module' });
  return tasksWait(webWorker<PhotoQuestion, PhotoAnswer>(start));
}

/** The pool with the thumbnails of its looks put aside. */
const keeping = (
  pool: Pool<CrewQuestion, PhotoAnswer>,
  thumbnails: Map<LookedFile, ImageBitmap | null>,
): Pool<CrewQuestion, CrewAnswer> => ({
  ...pool,
  async ask(question) {
    const answer = await pool.ask(question);
    if (answer.ok && 'looked' in answer.value) thumbnails.set(answer.value.looked, answer.value.thumbnail ?? null);
    return answer;
  },
});
