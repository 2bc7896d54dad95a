/**
 * `npm run fuzz -- [--seconds 600] [--seed N] [--jobs 2] [--only READER] [--skip READER]`: generated and mutated inputs through every reader until the time is up.
 * Inputs that fail are written to `test/corpus`, where the gate reads them from then on.
 */
import { fork, type ChildProcess } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
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
/** Wall seconds after which a child that says nothing is looked at, and after which it is ended whatever it did. */
const SILENT = { looked: 12 * LIMITS.seconds, ended: 120 * LIMITS.seconds } as const;
/** Seconds of the processor that a silent child is left: on a busy machine it may get none for minutes, which is no fault of its input. */
const BUSY = 3 * LIMITS.seconds;
/** Wall seconds between two lines of progress. */
const TOLD_EVERY = 300;
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
      const told = await answer(child);
      if (typeof told === 'string' || !('ready' in told)) throw new Error('the child did not start');
      names = told.ready.filter((name) => (values.only === undefined || name === values.only) && name !== values.skip);
    }
    const reader = names[Math.floor(index / jobs) % names.length]!;
    const task: Task = { reader, seed, index };
    const began = performance.now();
    child.send(task);
    const told = await answer(child);
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
const answer = (child: ChildProcess): Promise<Told | string> =>
  new Promise((settle) => {
    const [began, busyBefore] = [performance.now(), busySeconds(child)];
    const onMessage = (told: unknown): void => done(told as Told);
    const onExit = (code: number | null, signal: string | null): void =>
      done(`the process ended: ${signal ?? `code ${code}`}`);
    const done = (told: Told | string): void => {
      clearInterval(timer);
      child.off('message', onMessage).off('exit', onExit);
      settle(told);
    };
    const timer = setInterval(() => {
      const silent = (performance.now() - began) / 1000;
      const busy = busyBefore === null ? null : (busySeconds(child) ?? 0) - busyBefore;
      if (silent > SILENT.ended || (silent > SILENT.looked && (busy === null || busy > BUSY)))
        done(`no answer within ${silent.toFixed(0)} s, ${busy?.toFixed(0) ?? 'unknown'} s of the processor`);
    }, 1000);
    child.on('message', onMessage).on('exit', onExit);
  });

/** Seconds of the processor that a process has had; null where the system does not say (proc(5): fields 14 and 15 of stat, in hundredths of a second). */
function busySeconds({ pid }: ChildProcess): number | null {
  try {
    const fields = readFileSync(`/proc/${pid}/stat`, 'utf8')
      .replace(/^.*\) /s, '')
      .split(' ');
    return (Number(fields[11]) + Number(fields[12])) / 100;
  } catch {
    return null;
  }
}

process.stdout.write(`seed ${seed}, ${seconds} s, ${jobs} processes\n`);
const until = performance.now() + 1000 * seconds;
const progress = setInterval(() => {
  const all = [...counts.values()];
  const sum = (of: 'inputs' | 'faults'): number => all.reduce((n, count) => n + count[of], 0);
  process.stdout.write(`${new Date().toISOString().slice(11, 16)} ${sum('inputs')} inputs, ${sum('faults')} faults\n`);
}, 1000 * TOLD_EVERY);
await Promise.all(Array.from({ length: jobs }, (_, i) => lane(i, until)));
clearInterval(progress);
let [inputs, faults] = [0, 0];
for (const [reader, count] of [...counts].sort()) {
  inputs += count.inputs;
  faults += count.faults;
  process.stdout.write(
    `${reader.padEnd(14)} ${String(count.inputs).padStart(7)} inputs ${String(count.faults).padStart(5)} faults ${count.seconds.toFixed(0).padStart(6)} s\n`,
  );
}
process.stdout.write(`${inputs} inputs, ${faults} faults, largest process ${Math.round(largest / 1e6)} MB\n`);
process.exitCode = faults > 0 ? 1 : 0;
