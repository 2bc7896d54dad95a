import { expose } from 'comlink';
import { addBinFile } from '../src/bin/file.ts';
import { createBin, type Bin } from '../src/bin/bin.ts';
import type { Cv } from '../src/vision/cv.ts';
import { BIN_PROTOCOL, type BinApi } from './bin-protocol.ts';
import { decode } from './decode.ts';
import { startCv } from './opencv-browser.ts';
import { compileCv } from './opencv-module.ts';

let cv: Cv | undefined;
let bin: Bin | undefined;
let canvas: OffscreenCanvas | undefined;

const opened = (): Bin => {
  if (bin === undefined) throw new Error('no bin was opened');
  return bin;
};

const api: BinApi = {
  protocol: BIN_PROTOCOL,
  async start(given) {
    const module = given ?? (await compileCv());
    cv ??= startCv(module);
    return module;
  },
  open(job) {
    if (cv === undefined) throw new Error('OpenCV was not started');
    bin = createBin(cv, job);
  },
  add: ({ name, bytes }) =>
    addBinFile(opened(), name, new Uint8Array(bytes), async (file) => {
      const { picture, thumbnail } = await decode(file);
      thumbnail.close();
      return picture;
    }),
  look(frame) {
    const { width, height } = frame;
    if (canvas?.width !== width || canvas.height !== height) canvas = new OffscreenCanvas(width, height);
    const context = canvas.getContext('2d', { willReadFrequently: true });
    if (context === null) throw new Error(`no canvas of ${width} x ${height} px`);
    context.drawImage(frame, 0, 0);
    frame.close();
    const { data } = context.getImageData(0, 0, width, height);
    return Promise.resolve(opened().look({ name: '', picture: { width, height, channels: 4, data }, focal: null }));
  },
  finish: () => Promise.resolve(opened().finish()),
  live: () => cv?.live() ?? 0,
};

// A message that cannot be read would leave its sender waiting: let it end this worker instead.
addEventListener('messageerror', () => {
  throw new Error('a message to the worker could not be read');
});
expose(api);
