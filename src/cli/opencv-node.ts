import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { compileFunction } from 'node:vm';
import { checkedOpenCv } from '../../config/opencv-digests.ts';
import { opencvFactorySource } from '../../config/opencv-source.ts';
import { openCv, type CvFactory } from '../vision/cv-door.ts';
import type { Cv } from '../vision/cv.ts';

const resolve = createRequire(import.meta.url).resolve;

/** OpenCV compiled, to be shared by threads. */
export const compileCv = async (): Promise<WebAssembly.Module> =>
  WebAssembly.compile(checkedOpenCv('opencv.wasm', await readFile(resolve('opencv-wasm/opencv.wasm'))));

/**
 * OpenCV for Node, with a memory of its own; about 0.1 s. It listens to no event of the process and leaves nothing running.
 *
 * @param compiled  Where another thread compiled it before.
 */
export async function loadCv(compiled?: WebAssembly.Module): Promise<Cv> {
  const [published, module] = await Promise.all([
    readFile(resolve('opencv-wasm/opencv.js')),
    compiled === undefined ? compileCv() : Promise.resolve(compiled),
  ]);
  const checked = checkedOpenCv('opencv.js', published);
  const source = `'use strict';\n${opencvFactorySource(checked.toString('utf8'))}`;
  const factory = compileFunction(source, [], { filename: 'opencv-wasm' })() as CvFactory;
  return openCv(factory, (imports) => new WebAssembly.Instance(module, imports as WebAssembly.Imports));
}
