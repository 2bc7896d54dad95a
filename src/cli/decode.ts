import { Worker } from 'node:worker_threads';
import type { DecodedPicture } from '../photo/open.ts';
import { Rooms } from '../photo/rooms.ts';
import { PICTURE_LIMITS } from '../photo/sniff.ts';
import type { Picture } from '../vision/picture.ts';

/** What the thread that decodes answers. */
interface Decoded {
  readonly id: number;
  readonly picture?: Picture & { readonly data: Uint8Array<SharedArrayBuffer> };
  readonly error?: Error;
}

interface Waiting {
  readonly resolve: (picture: DecodedPicture) => void;
  readonly reject: (error: Error) => void;
}

const rooms = new Rooms<SharedArrayBuffer>();
const waiting = new Map<number, Waiting>();
let thread: Worker | null = null;
let asked = 0;

/** A photo's pixels, upright, 8 bits a channel; rejects where they cannot be had. */
export function decodePicture(bytes: Uint8Array): Promise<DecodedPicture> {
  thread ??= started();
  // A thread that nobody waits for does not keep the process alive.
  thread.ref();
  const id = ++asked;
  // How large it will be is not known yet: any room may do.
  thread.postMessage({ id, bytes, room: rooms.take(0) });
  return new Promise((resolve, reject) => waiting.set(id, { resolve, reject }));
}

function started(): Worker {
  const workerData = { pixels: PICTURE_LIMITS.pixels };
  const worker = new Worker(new URL('./decode-thread.mjs', import.meta.url), { workerData });
  const lost = (why: unknown): void => {
    if (thread === worker) thread = null;
    for (const { reject } of waiting.values()) reject(new Error(`decoding ended: ${String(why)}`));
    waiting.clear();
  };
  return worker.on('message', answered).on('error', lost).on('exit', lost).on('messageerror', lost);
}

function answered({ id, picture, error }: Decoded): void {
  const one = waiting.get(id);
  waiting.delete(id);
  if (waiting.size === 0) thread?.unref();
  if (!picture) one?.reject(error ?? new Error('no picture'));
  else one?.resolve({ ...picture, release: () => rooms.give(picture.data.buffer) });
}
