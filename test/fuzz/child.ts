/** One process of `run.ts`: makes inputs by their numbers, has them read, tells what is wrong. A parent watches its time. */
import { allReaders, faultWith, inputOf, LIMITS } from './one.ts';

export interface Task {
  readonly reader: string;
  readonly seed: number;
  readonly index: number;
}
export type Told =
  | { readonly ready: readonly string[] }
  /** `bytes`: the process's largest memory so far. */
  | { readonly fault: string | null; readonly input: string | null; readonly bytes: number };

const tell = (told: Told): void => void process.send!(told);

let stray: string | null = null;
process.on('unhandledRejection', (reason) => (stray = `unhandled rejection: ${String(reason)}`));
process.on('uncaughtException', (error) => (stray = `uncaught: ${error.message}`));

const readers = await allReaders(process.argv.includes('--photos'));
const peak = (): number => process.resourceUsage().maxRSS * 1024;
let before = peak();

process.on('message', (task: Task) => {
  (async () => {
    const reader = readers[task.reader]!;
    const input = inputOf(reader, task.seed, task.index);
    let fault = await faultWith(reader, input);
    await new Promise((settle) => setImmediate(settle));
    fault ??= stray;
    stray = null;
    const bytes = peak();
    // The largest memory only ever rises: what it rose by, this input did.
    if (bytes - before > LIMITS.bytes) fault ??= `${Math.round((bytes - before) / 1e6)} MB`;
    before = bytes;
    tell({ fault, input: fault === null ? null : Buffer.from(input).toString('base64'), bytes });
  })().catch((thrown: unknown) =>
    tell({ fault: `of the fuzzing itself: ${String(thrown)}`, input: null, bytes: peak() }),
  );
});
tell({ ready: Object.keys(readers) });
