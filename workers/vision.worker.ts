import { expose, transfer } from 'comlink';
import { bestFaces } from '../src/faces/best-faces.ts';
import { faceNet } from '../src/figures/face-net.ts';
import { createFileSet, type FileSet } from '../src/measure/file-set.ts';
import { seenNumbers } from '../src/measure/seen-numbers.ts';
import { success } from '../src/result.ts';
import type { Cv } from '../src/vision/cv.ts';
import { decode } from './decode.ts';
import { compileCv, startCv } from './opencv-browser.ts';
import { PROTOCOL, type VisionApi } from './protocol.ts';

let cv: Cv | undefined;
let set: FileSet | undefined;

const opened = (): FileSet => {
  if (set === undefined) throw new Error('no set was opened');
  return set;
};

const api: VisionApi = {
  protocol: PROTOCOL,
  async start(given) {
    const module = given ?? (await compileCv());
    cv ??= startCv(module);
    return module;
  },
  open(asked, again) {
    if (cv === undefined) throw new Error('OpenCV was not started');
    if (again && set !== undefined) set.ask(asked);
    else set = createFileSet(cv, asked, () => performance.now() / 1000);
  },
  async add({ name, bytes }) {
    let thumbnail: ImageBitmap | null = null;
    const judged = await opened().add(name, new Uint8Array(bytes), async () => {
      const decoded = await decode(new Uint8Array(bytes));
      thumbnail = decoded.thumbnail;
      return decoded.picture;
    });
    return transfer({ judged, thumbnail }, thumbnail === null ? [] : [thumbnail]);
  },
  numbers() {
    const read = opened().numbers();
    if (!read.ok) return Promise.resolve(read);
    const { solid } = read.value.set;
    const { width, height, data } = faceNet(solid, bestFaces(read.value.set));
    return Promise.resolve(success({ ...seenNumbers(read.value), net: { width, height, rgba: data } }));
  },
  finish: (onProgress) => Promise.resolve(opened().finish(onProgress)),
  live: () => cv?.live() ?? 0,
};

// A message that cannot be read would leave its sender waiting: let it end this worker instead.
addEventListener('messageerror', () => {
  throw new Error('a message to the worker could not be read');
});
expose(api);
