import factory from 'virtual:opencv';
import wasmUrl from 'opencv-wasm/opencv.wasm?url';
import { openCv } from '../src/vision/cv-door.ts';
import type { Cv } from '../src/vision/cv.ts';

/** Fetches and compiles OpenCV. @throws {Error} If the file does not arrive. */
export async function compileCv(): Promise<WebAssembly.Module> {
  const response = await fetch(wasmUrl);
  if (!response.ok) throw new Error(`OpenCV: ${response.status} ${response.statusText} for ${wasmUrl}`);
  return WebAssembly.compile(await response.arrayBuffer());
}

/** OpenCV with a memory of its own, for a worker: the page's own thread may not instantiate so large a module at once. */
export function startCv(module: WebAssembly.Module): Cv {
  return openCv(factory, (imports) => new WebAssembly.Instance(module, imports as WebAssembly.Imports));
}
