import type { BinJob, BinPhoto, BinResult } from '../src/bin/types.ts';
import type { PhotoFile, WorkerApi } from './protocol.ts';

/** Raised with every change of what crosses to the worker that sorts a bin. */
export const BIN_PROTOCOL = 1;

/** Sorts one bin at a time: `open`, then `add` for each photo, then `finish`; it can be added to, and finished again. */
export interface BinApi extends WorkerApi {
  /** Starts OpenCV, once: with what was compiled for another worker, or compiling it. */
  start(module: WebAssembly.Module | null): Promise<WebAssembly.Module>;
  /** Begins a bin; an earlier one is forgotten. */
  open(job: BinJob): void;
  /** Decodes and judges a photo. Takes `photo.bytes`. */
  add(photo: PhotoFile): Promise<BinPhoto>;
  /** Judges a live camera's frame, which it takes and closes, and forgets it. */
  look(frame: ImageBitmap): Promise<BinPhoto>;
  /** Judges all photos together. */
  finish(): Promise<BinResult>;
  /** OpenCV objects made and not freed; 0 between calls. */
  live(): number;
}
