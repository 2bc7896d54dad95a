import { expose, transfer } from 'comlink';
import { bestFaces, shownFaces } from '../src/faces/best-faces.ts';
import { faceNet } from '../src/figures/face-net.ts';
import { createFileSet, type FileSet } from '../src/measure/file-set.ts';
import { seenNumbers } from '../src/measure/seen-numbers.ts';
import { foreseen } from '../src/report/record/foreseen.ts';
import { success } from '../src/result.ts';
import { compileCv } from './opencv-browser.ts';
import { PROTOCOL, type VisionApi } from './protocol.ts';
import { pageCrews, type PageCrew, type PageCrews } from './page-crew.ts';

let crews: PageCrews | undefined;
let crew: PageCrew | undefined;
let set: FileSet | undefined;
/** Ends when the photo that was handed over last has been taken: what is said of a photo may hang on those before it. */
let taken: Promise<unknown> = Promise.resolve();

const opened = (): FileSet => {
  if (set === undefined) throw new Error('no set was opened');
  return set;
};

const api: VisionApi = {
  protocol: PROTOCOL,
  async start(given) {
    const module = given ?? (await compileCv());
    crews ??= pageCrews(module);
    return module;
  },
  open(asked, again) {
    if (crews === undefined) throw new Error('OpenCV was not started');
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
    if (!read.ok) return read;
    const { set: numbers } = read.value;
    const best = bestFaces(numbers);
    const { width, height, data, umPerPx } = faceNet(numbers.solid, best);
    const netAbout = { umPerPx, ...shownFaces(numbers, best) };
    return success({ ...seenNumbers(read.value), net: { width, height, rgba: data }, netAbout });
  },
  soFar: () => opened().soFar(crew),
  finish: (onProgress) =>
    opened().finish(({ soFar, ...progress }) => onProgress({ ...progress, soFar: soFar?.() ?? null }), crew),
  foresee(result) {
    return Promise.resolve(foreseen(result));
  },
  ready: () => crews?.ready(),
  live: () => crews?.live() ?? 0,
};

// A message that cannot be read would leave its sender waiting: let it end this worker instead.
addEventListener('messageerror', () => {
  throw new Error('a message to the worker could not be read');
});
expose(api);
