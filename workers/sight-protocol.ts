import type { LiveDie } from '../src/live/live-numbers.ts';
import type { LiveSight } from '../src/live/sight.ts';
import type { WorkerApi } from './protocol.ts';

/** Raised with every change of what crosses to the worker that looks at a live camera's frames. */
export const SIGHT_PROTOCOL = 3;

/** Apart from the vision worker: photos are judged there while the camera goes on. */
export interface SightApi extends WorkerApi {
  /** Looks for the card in a frame, which it takes and closes, and reads the numbers of a die where one is named; null where the card is not found. */
  look(frame: ImageBitmap, die: LiveDie | null): Promise<LiveSight | null>;
}
