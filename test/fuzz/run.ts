/**
 * `npm run fuzz -- [--seconds 600] [--seed N] [--jobs 2] [--only READER] [--skip READER]`: generated and mutated inputs through every reader until the time is up.
 * Inputs that fail are written to `test/corpus`, where the gate reads them from then on.
 */
import { fork, type ChildProcess } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import type { Task, Told } from './child.ts';
import { LIMITS } from './one.ts';

const { values } = parseArgs({
  options: {
    seconds: { type: 'string', default: '600' },
    seed: { type: 'string', default: String(Date.now() % 1e6) },
    jobs: { type: 'string', default: '2' },
    only: { type: 'string' },
    skip: { type: 'string' },
  },
});
const [seconds, seed, jobs] = [values.seconds, values.seed, values.jobs].map(Number) as [number, number, number];
const CORPUS = join(import.meta.dirname, '../corpus');
/** Wall seconds after which a child that says nothing is ended: on a busy machine its 10 s of the processor take longer. */
const SILENT = 12 * LIMITS.seconds;
/** Of one reader so many failing inputs are written down: the rest are mostly alike. */
const MOST_KEPT = 5;

const counts = new Map<string, { inputs: number; faults: number; seconds: number }>();
const shown = new Map<string, number>();
let largest = 0;

function failed(task: Task, fault: string, input: string | null): void {
  const kind = `${task.reader}: ${fault.replaceAll(/[\d.]+/g, 'n').slice(0, 110)}`;
  const times = (shown.get(kind) ?? 0) + 1;
  shown.set(kind, times);
  if (times > 1) return;
  process.stdout.write(`FAULT ${task.reader} (--seed ${task.seed}, input ${task.index}): ${fault}\n`);
  if (input === null || [...shown.keys()].filter((k) => k.startsWith(`${task.reader}:`)).length > MOST_KEPT) return;
  const bytes = Buffer.from(input, 'base64');
  mkdirSync(CORPUS, { recursive: true });
  writeFileSync(join(CORPUS, `${task.reader}.${createHash('sha256').update(bytes).digest('hex').slice(0, 12)}`), bytes);
}

/** Works through numbers of inputs until the time is up, with a child that is started anew when it is lost. */
async function lane(first: number, until: number): Promise<void> {
  let child: ChildProcess | null = null;
  let names: readonly string[] = [];
  for (let index = first; performance.now() < until; index += jobs) {
    if (child === null) {
      child = fork(join(import.meta.dirname, 'child.ts'), values.skip === 'photo-set' ? [] : ['--photos'], {
        execArgv: process.execArgv,
      });
      const told = await answer(child, 4 * SILENT);
      if (typeof told === 'string' || !('ready' in told)) throw new Error('the child did not start');
      names = told.ready.filter((name) => (values.only === undefined || name === values.only) && name !== values.skip);
    }
    const reader = names[Math.floor(index / jobs) % names.length]!;
    const task: Task = { reader, seed, index };
    const began = performance.now();
    child.send(task);
    const told = await answer(child, SILENT);
    const count = counts.get(reader) ?? { inputs: 0, faults: 0, seconds: 0 };
    counts.set(reader, count);
    count.inputs++;
    count.seconds += (performance.now() - began) / 1000;
    const fault = typeof told === 'string' ? told : 'fault' in told ? told.fault : null;
    if (typeof told !== 'string' && 'bytes' in told) largest = Math.max(largest, told.bytes);
    if (fault !== null) {
      count.faults++;
      failed(task, fault, typeof told !== 'string' && 'input' in told ? told.input : null);
    }
    if (typeof told === 'string') {
      child.kill('SIGKILL');
      child = null;
    }
  }
  child?.kill();
}

/** What a child answers; why it does not, in words. */
const answer = (child: ChildProcess, within: number): Promise<Told | string> =>
  new Promise((settle) => {
    const onMessage = (told: unknown): void => done(told as Told);
    const onExit = (code: number | null, signal: string | null): void =>
      done(`the process ended: ${signal ?? `code ${code}`}`);
    const done = (told: Told | string): void => {
      clearTimeout(timer);
      child.off('message', onMessage).off('exit', onExit);
      settle(told);
    };
    const timer = setTimeout(() => done(`no answer within ${within} s`), 1000 * within);
    child.on('message', onMessage).on('exit', onExit);
  });

process.stdout.write(`seed ${seed}, ${seconds} s, ${jobs} processes\n`);
const until = performance.now() + 1000 * seconds;
await Promise.all(Array.from({ length: jobs }, (_, i) => lane(i, until)));
let [inputs, faults] = [0, 0];
for (const [reader, count] of [...counts].sort()) {
  inputs += count.inputs;
  faults += count.faults;
  process.stdout.write(`${reader.padEnd(14)} ${String(count.inputs).padStart(7)} inputs ${String(count.faults).padStart(5)} faults ${count.seconds.toFixed(0).padStart(6)} s\n`); // prettier-ignore
}
process.stdout.write(`${inputs} inputs, ${faults} faults, largest process ${Math.round(largest / 1e6)} MB\n`);
process.exitCode = faults > 0 ? 1 : 0;
