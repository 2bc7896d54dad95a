import factory from 'virtual:opencv';
import { openCv } from '../src/vision/cv-door.ts';
import type { Cv } from '../src/vision/cv.ts';

/** OpenCV with a memory of its own, for a worker: the page's own thread may not instantiate so large a module at once. */
export function startCv(module: WebAssembly.Module): Cv {
  return openCv(factory, (imports) => new WebAssembly.Instance(module, imports as WebAssembly.Imports));
}
