import { expose, transfer } from 'comlink';
import type { Cv } from '../src/vision/cv.ts';
import { decode } from './decode.ts';
import { compileCv, startCv } from './opencv-browser.ts';
import { PROTOCOL, type VisionApi } from './protocol.ts';

let cv: Cv | undefined;

const api: VisionApi = {
  protocol: PROTOCOL,
  async start(given) {
    const module = given ?? (await compileCv());
    cv ??= startCv(module);
    return module;
  },
  async decode(photo) {
    const decoded = await decode(photo);
    return decoded.ok ? transfer(decoded, [decoded.value.data.buffer as ArrayBuffer]) : decoded;
  },
  live: () => cv?.live() ?? 0,
};

// A message that cannot be read would leave its sender waiting: let it end this worker instead.
addEventListener('messageerror', () => {
  throw new Error('a message to the worker could not be read');
});
expose(api);
