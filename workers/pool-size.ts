import { poolSize } from '../src/pool/size.ts';

/** GB of a machine whose browser does not say. */
const USUAL_MEMORY = 4;

/** How many photos this machine works on at once, as far as its browser tells its cores and memory. */
export function photosAtOnce(): number {
  const { deviceMemory = USUAL_MEMORY, hardwareConcurrency } = navigator as {
    deviceMemory?: number;
  } & typeof navigator;
  return poolSize(hardwareConcurrency || 1, 1024 * deviceMemory);
}
