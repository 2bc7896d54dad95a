import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { median } from '../maths/linear.ts';
import type { Asked } from '../measure/asked.ts';
import { createFileSet } from '../measure/file-set.ts';
import type { PhotoCrew } from '../measure/photo-crew.ts';
import { ahead } from '../pool/pool.ts';
import { EXIT, type Command } from './command.ts';
import { decodePicture } from './decode.ts';
import { readJob } from './measure.ts';
import { nodeCrew } from './photo-crew.ts';
import { threadCount } from './threads.ts';

/** Runs that count, whose least times are given: so many, or as `--runs N` says; as many go before. And repeats after which memory is asked. */
const RUNS = 5;
const REPEATS = 10;

/** ms per photo: by the clock, and of processor time of all threads together. */
interface Spent {
  readonly wall: number;
  readonly cpu: number;
}

interface Measuring extends Spent {
  /** ms per photo of each stage, by the clock of whoever works at it. */
  readonly stages: Readonly<Record<string, number>>;
}

async function spentIn(photos: number, work: () => Promise<void>): Promise<Spent> {
  const [began, before] = [performance.now(), process.cpuUsage()];
  await work();
  const { user, system } = process.cpuUsage(before);
  return { wall: (performance.now() - began) / photos, cpu: (user + system) / 1000 / photos };
}

/** One whole measurement of a set by a crew, from files in memory to its result. */
async function measuredOnce(
  crew: PhotoCrew,
  folder: string,
  job: Asked,
  files: ReadonlyMap<string, Uint8Array<ArrayBuffer>>,
): Promise<Measuring> {
  let stages: Record<string, number> = {};
  const spent = await spentIn(job.shots.length, async () => {
    crew.forget();
    const set = createFileSet(job, () => performance.now() / 1000);
    const look = ({ photo }: { readonly photo: string }) => crew.look(photo, files.get(photo)!);
    for await (const looked of ahead(job.shots, look, 2 * crew.size)) set.take(looked);
    const outcome = await set.finish(undefined, crew.size > 1 ? crew : undefined);
    if (!outcome.ok) throw new Error(`${folder}: ${outcome.error.code}`);
    stages = Object.fromEntries(Object.entries(outcome.value.timing ?? {}).map(([stage, s]) => [stage, 1000 * s]));
  });
  return { ...spent, stages };
}

/** Decoding alone, one photo after another: the yardstick. */
const decodedOnce = (files: ReadonlyMap<string, Uint8Array<ArrayBuffer>>): Promise<Spent> =>
  spentIn(files.size, async () => {
    for (const file of files.values()) (await decodePicture(file)).release?.();
  });

const ms = (v: number): string => v.toFixed(1).padStart(7);

/** What one kind of run came to, against the yardstick of the same runs. */
function told(what: string, spent: Spent, decode: Spent): string {
  const [wall, cpu] = [spent.wall / decode.wall, spent.cpu / decode.cpu].map((r) => r.toFixed(2));
  return `  ${what.padEnd(11)}${ms(spent.wall)} ms by the clock, ${ms(spent.cpu)} of processor time: ${wall} and ${cpu} times decoding\n`;
}

const least = <T extends Spent>(a: T | null, b: T): T => (a === null || b.wall < a.wall ? b : a);

interface Figures {
  readonly decode: Spent;
  readonly one: Measuring;
  readonly all: Measuring;
}

/** Runs of all kinds in turn, so that whatever else the machine does meets all alike. */
async function figuresOf(
  folder: string,
  job: Asked,
  alone: PhotoCrew,
  crew: PhotoCrew,
  runs: number,
): Promise<Figures> {
  const files = new Map<string, Uint8Array<ArrayBuffer>>();
  for (const { photo } of job.shots) files.set(photo, new Uint8Array(await readFile(join(folder, photo))));
  let decode: Spent | null = null;
  let one: Measuring | null = null;
  let all: Measuring | null = null;
  for (let r = 0; r < 2 * runs; r++) {
    const now = [
      await decodedOnce(files),
      await measuredOnce(alone, folder, job, files),
      await measuredOnce(crew, folder, job, files),
    ] as const;
    if (r < runs) continue;
    decode = least(decode, now[0]);
    one = least(one, now[1]);
    all = least(all, now[2]);
  }
  const before = process.memoryUsage().rss;
  for (let r = 0; r < Math.min(REPEATS, 2 * runs); r++) await measuredOnce(alone, folder, job, files);
  const more = (process.memoryUsage().rss - before) / 1e6;
  const most = process.resourceUsage().maxRSS / 1024;
  process.stdout.write(
    `${folder}: per photo, decoding alone ${ms(decode!.wall)} ms by the clock, ${ms(decode!.cpu)} of processor time\n`,
  );
  process.stdout.write(told('one core', one!, decode!) + told(`${crew.size} threads`, all!, decode!));
  const share = (s: number): string => `${Math.round((100 * s) / one!.wall)} %`;
  const stages = Object.entries(one!.stages).map(([stage, s]) => `${stage} ${s.toFixed(1)} (${share(s)})`);
  process.stdout.write(`  stages on one core, ms: ${stages.join(', ')}\n`);
  process.stdout.write(
    `  memory: ${most.toFixed(0)} MB at most with all threads, ${more.toFixed(0)} MB more after ${Math.min(REPEATS, 2 * runs)} repeats\n`,
  );
  return { decode: decode!, one: one!, all: all! };
}

/** Times measuring on one core and on all against decoding the same photos in the same run; says what memory it took and whether it grows. */
export const run: Command = async (args) => {
  const { values, positionals: folders } = parseArgs({
    args: [...args],
    allowPositionals: true,
    options: { runs: { type: 'string', default: String(RUNS) } },
  });
  const runs = Math.max(1, Math.floor(Number(values.runs)) || RUNS);
  const crews = [nodeCrew(1), nodeCrew(Math.max(2, threadCount(null)))] as const;
  const found: Figures[] = [];
  try {
    for (const folder of folders) {
      const job = await readJob(folder);
      if (!job.ok) {
        process.stderr.write(`${folder}: ${job.error.message}\n`);
        return EXIT.usage;
      }
      found.push(await figuresOf(folder, job.value, ...crews, runs));
    }
  } finally {
    for (const crew of crews) crew.close();
  }
  if (found.length < 2) return EXIT.done;
  const middle = (ratios: readonly number[]): string => median(ratios).toFixed(2);
  const one = middle(found.map((f) => f.one.wall / f.decode.wall));
  const all = middle(found.map((f) => f.all.wall / f.decode.wall));
  process.stdout.write(`median times decoding: ${one} on one core, ${all} on all\n`);
  return EXIT.done;
};
