import type { Result } from '../src/result.ts';
import type { Picture } from '../src/vision/picture.ts';

/** Raised with every change of what crosses: a page refuses a worker with another number (an old one from a cache). */
export const PROTOCOL = 1;

/** A photo as the user gave it. */
export interface PhotoFile {
  readonly name: string;
  /** The whole file; whoever sends it has an empty buffer afterwards. */
  readonly bytes: ArrayBuffer;
}

/** What every worker of the project answers to. */
export interface WorkerApi {
  readonly protocol: number;
}

export interface DecodeFailure {
  readonly code: 'not-decoded';
  readonly name: string;
  /** What the browser's decoder said. */
  readonly detail: string;
}

export interface VisionApi extends WorkerApi {
  /**
   * Starts OpenCV, once; every other call needs it.
   *
   * @param module  The compiled WASM of an earlier worker, or null to fetch and compile it.
   * @returns       The compiled WASM, for the next worker.
   */
  start(module: WebAssembly.Module | null): Promise<WebAssembly.Module>;
  /** Pixels of a photo, upright, colours as stored. The reply owns a fresh buffer. */
  decode(photo: PhotoFile): Promise<Result<Picture, DecodeFailure>>;
  /** OpenCV objects made and not freed; 0 between calls. */
  live(): number;
}
