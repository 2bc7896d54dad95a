import { expose, transfer } from 'comlink';
import { createFileSet, type FileSet } from '../src/measure/file-set.ts';
import { foreseen } from '../src/report/record/foreseen.ts';
import { success } from '../src/result.ts';
import { PROTOCOL, type VisionApi } from './protocol.ts';
import { pageCrews, type PageCrew, type PageCrews } from './page-crew.ts';
import { seenDie } from './seen-die.ts';
import { measuredUnasked } from './unasked.ts';

const crews: PageCrews = pageCrews();
let crew: PageCrew | undefined;
let set: FileSet | undefined;
/** Ends when the photo that was handed over last has been taken: what is said of a photo may hang on those before it. */
let taken: Promise<unknown> = Promise.resolve();

const opened = (): FileSet => {
  if (set === undefined) throw new Error('no set was opened');
  return set;
};

/** Raised by whatever is asked for: what was begun unasked ends at its next step. */
let asking = 0;

const api: VisionApi = {
  protocol: PROTOCOL,
  open(asked, again) {
    asking++;
    crew = crews.for(asked.shots.length);
    if (again && set !== undefined) return set.ask(asked);
    set = createFileSet(asked, () => performance.now() / 1000);
    crew.forget();
  },
  async add({ name, bytes }) {
    const into = opened();
    const before = taken;
    const looking = crew!.lookSmall(name, new Uint8Array(bytes));
    const turn = Promise.all([looking, before]);
    taken = turn.catch(() => undefined);
    const [{ looked, thumbnail }] = await turn;
    return transfer({ judged: into.take(looked), thumbnail }, thumbnail === null ? [] : [thumbnail]);
  },
  async numbers() {
    const read = await opened().numbers(crew);
    return read.ok ? success(seenDie(read.value)) : read;
  },
  soFar: () => opened().soFar(crew),
  finish: (onProgress) =>
    opened().finish(({ soFar, ...progress }) => onProgress({ ...progress, soFar: soFar?.() ?? null }), crew),
  foresee(result) {
    return Promise.resolve(foreseen(result));
  },
  ready: () => undefined,
  makeWay: () => void asking++,
  unasked(asked, photos) {
    const now = asking;
    return measuredUnasked(asked, photos, crews.for(photos.length), () => asking === now);
  },
};

// A message that cannot be read would leave its sender waiting: let it end this worker instead.
addEventListener('messageerror', () => {
  throw new Error('a message to the worker could not be read');
});
expose(api);
