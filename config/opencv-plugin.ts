import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { Plugin } from 'vite';
import { opencvModuleSource } from './opencv-source.ts';

const NAME = 'virtual:opencv';
const RESOLVED = `\0${NAME}`;

/** Serves the rewritten opencv-wasm as the module `virtual:opencv`. For `plugins` and for `worker.plugins`. */
export function opencv(): Plugin {
  return {
    name: 'evencast-opencv',
    resolveId: (id) => (id === NAME ? RESOLVED : undefined),
    async load(id) {
      if (id !== RESOLVED) return undefined;
      const file = createRequire(import.meta.url).resolve('opencv-wasm/opencv.js');
      return { code: opencvModuleSource(await readFile(file, 'utf8')), map: null };
    },
  };
}
