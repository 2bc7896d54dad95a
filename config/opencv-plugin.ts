import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { Plugin } from 'vite';
import { checkedOpenCv } from './opencv-digests.ts';
import { opencvModuleSource } from './opencv-source.ts';

const NAME = 'virtual:opencv';
const RESOLVED = `\0${NAME}`;

const resolve = createRequire(import.meta.url).resolve;

/** Serves the rewritten opencv-wasm as the module `virtual:opencv`, both of its files checked. For `plugins` and for `worker.plugins`. */
export function opencv(): Plugin {
  return {
    name: 'evencast-opencv',
    resolveId: (id) => (id === NAME ? RESOLVED : undefined),
    async load(id) {
      if (id !== RESOLVED) return undefined;
      const [source, wasm] = await Promise.all([
        readFile(resolve('opencv-wasm/opencv.js')),
        readFile(resolve('opencv-wasm/opencv.wasm')),
      ]);
      checkedOpenCv('opencv.wasm', wasm);
      return { code: opencvModuleSource(checkedOpenCv('opencv.js', source).toString('utf8')), map: null };
    },
  };
}
