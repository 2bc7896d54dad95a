import fc from 'fast-check';
import { faultOf } from './outcome.ts';
import { photoSets } from './photo-sets.ts';
import { readers, type Reader } from './readers.ts';

/** Bounds of one input: seconds of the processor, and bytes of the process's memory that it may add. */
export const LIMITS = { seconds: 10, bytes: 800e6 } as const;

/** Photo sets beside all readers of files and records. */
export async function allReaders(withPhotos: boolean): Promise<Readonly<Record<string, Reader>>> {
  return { ...(await readers()), ...(withPhotos ? { 'photo-set': await photoSets() } : {}) };
}

/** The input of a number: the same number gives the same input in every run. */
export function inputOf(reader: Reader, seed: number, index: number): Uint8Array {
  const [input] = fc.sample(reader.inputs, { numRuns: 1, seed: (seed * 1_000_003 + index) | 0 });
  return input!;
}

/** What is wrong with what a reader makes of an input; null where nothing is. */
export async function faultWith(reader: Reader, input: Uint8Array): Promise<string | null> {
  const began = process.cpuUsage().user;
  let fault: string | null;
  try {
    fault = faultOf(await reader.read(input));
  } catch (thrown) {
    fault = `thrown: ${thrown instanceof Error ? (thrown.stack ?? thrown.message).split('\n').slice(0, 4).join(' | ') : String(thrown)}`;
  }
  if (({} as { polluted?: unknown }).polluted !== undefined) return 'a prototype was polluted';
  const seconds = (process.cpuUsage().user - began) / 1e6;
  return fault ?? (seconds > LIMITS.seconds ? `${seconds.toFixed(1)} s` : null);
}
