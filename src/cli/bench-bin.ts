import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { addBinFile } from '../bin/file.ts';
import type { BinFolderJob } from '../formats/bin.ts';
import { createBin } from '../bin/bin.ts';
import { BIN_STAGES, type BinStage } from '../bin/look-at.ts';
import type { Cv } from '../vision/cv.ts';
import type { Picture } from '../vision/picture.ts';
import { binFolder } from './bin.ts';
import { EXIT, type Command } from './command.ts';
import { decodePicture } from './decode.ts';
import { compileCv, loadCv } from './opencv-node.ts';
import type { Looked } from '../bin/bin-stream.ts';
import { createPool } from '../pool/pool.ts';
import type { BinThreadData } from './bin-thread.ts';
import { threadCount, threadWorker } from './threads.ts';

/** Runs before those that count, and runs that count: the least time of each stage is given. */
const WARM = 4;
const RUNS = 12;
/** Photos of one bin over which memory is watched, and how often it is read. */
const MANY = 60;
const EVERY = 15;

type Times = Record<'decode' | BinStage | 'finish' | 'beyond', number>;
type Bytes = Uint8Array<ArrayBuffer>;

/** One bin sorted, ms per photo. */
async function once(cv: Cv, { job }: BinFolderJob, files: readonly Bytes[]): Promise<Times> {
  const times: Times = { decode: 0, card: 0, things: 0, dice: 0, finish: 0, beyond: 0 };
  let last = 0;
  const lap = (name: keyof Times): void => {
    const now = performance.now();
    times[name] += (now - last) / files.length;
    last = now;
  };
  const bin = createBin(cv, job, lap);
  for (const [i, bytes] of files.entries()) {
    last = performance.now();
    await addBinFile(bin, `${i}`, bytes, async (b) => {
      const picture = await decodePicture(b);
      lap('decode');
      return picture;
    });
  }
  last = performance.now();
  bin.finish();
  lap('finish');
  return { ...times, beyond: times.card + times.things + times.dice + times.finish };
}

/** Least time of each stage over the runs that count, and of decoding the same photos alone between them, ms per photo. */
async function least(cv: Cv, folder: BinFolderJob, files: readonly Bytes[]): Promise<Times & { alone: number }> {
  const best = {
    decode: Infinity,
    card: Infinity,
    things: Infinity,
    dice: Infinity,
    finish: Infinity,
    beyond: Infinity,
    alone: Infinity,
  };
  for (let r = 0; r < WARM + RUNS; r++) {
    const begun = performance.now();
    for (const bytes of files) (await decodePicture(bytes)).release?.();
    const alone = (performance.now() - begun) / files.length;
    const times = { ...(await once(cv, folder, files)), alone };
    if (r < WARM) continue;
    for (const k of Object.keys(best) as (keyof typeof best)[]) best[k] = Math.min(best[k], times[k]);
  }
  return best;
}

/** How often each photo is looked at by threads at a stretch, and how many stretches there are: the least time counts, as above. */
const ROUNDS = 4;
const STRETCHES = 6;

/** ms per photo of looking at photos side by side, threads being warm, from their files on. */
async function sideBySide(folder: string, { job, photos }: BinFolderJob, threads: number): Promise<number> {
  const data: BinThreadData = { module: await compileCv(), folder, job };
  const pool = createPool<string, Looked>(
    () => threadWorker(new URL('./bin-thread.ts', import.meta.url), data),
    threads,
  );
  const names = photos!;
  const all = async (rounds: number): Promise<void> => {
    const asked = Array.from({ length: rounds * names.length }, (_, i) => pool.ask(names[i % names.length]!));
    if (!(await Promise.all(asked)).every((a) => a.ok)) throw new Error('a thread was lost');
  };
  // As often in each thread as the one above runs before it counts.
  await all(WARM * threads);
  let best = Infinity;
  for (let s = 0; s < STRETCHES; s++) {
    const begun = performance.now();
    await all(ROUNDS);
    best = Math.min(best, (performance.now() - begun) / (ROUNDS * names.length));
  }
  pool.close();
  return best;
}

const resident = (): number => Math.round(process.memoryUsage().rss / 1e6);

/** A photo without its first `by` columns. */
function narrowed({ data, width, height, channels }: Picture, by: number): Picture {
  const row = (width - by) * channels;
  const out = new Uint8Array(row * height);
  for (let y = 0; y < height; y++)
    out.set(data.subarray((y * width + by) * channels, (y + 1) * width * channels), y * row);
  return { width: width - by, height, channels, data: out };
}

/** Resident memory, MB, while one bin grows to {@link MANY} photos, each cut a little otherwise: none is another's twin. */
async function memoryOver(cv: Cv, { job }: BinFolderJob, files: readonly Bytes[]): Promise<number[]> {
  const bin = createBin(cv, job);
  const out: number[] = [];
  for (let i = 0; i < MANY; i++) {
    const by = 2 * Math.floor(i / files.length);
    await addBinFile(bin, `${i}`, files[i % files.length]!, async (b) => narrowed(await decodePicture(b), by));
    if ((i + 1) % EVERY === 0) out.push(resident());
  }
  bin.finish();
  return [...out, resident()];
}

/** Times sorting against decoding the same photos in the same run; says what memory it takes and whether that grows. */
export const run: Command = async (folders) => {
  const cv = await loadCv();
  for (const folder of folders) {
    const read = await binFolder({ folder, die: undefined, reference: undefined, sameDice: false });
    if (!read.ok) {
      process.stderr.write(`${folder}: ${read.error}\n`);
      return EXIT.usage;
    }
    const files = await Promise.all(
      read.value.photos!.map(async (p) => new Uint8Array(await readFile(join(folder, p)))),
    );
    const t = await least(cv, read.value, files);
    const f = (v: number): string => v.toFixed(1).padStart(6);
    process.stdout.write(
      `${folder}: ms per photo: decode ${f(t.decode)}, ${[...BIN_STAGES, 'finish' as const].map((s) => `${s} ${f(t[s])}`).join(', ')}; ` +
        `beyond decoding ${f(t.beyond)} = ${(t.beyond / t.alone).toFixed(2)} times decoding alone (${t.alone.toFixed(1)})\n`,
    );
    const threads = threadCount(null);
    const side = await sideBySide(folder, read.value, threads);
    process.stdout.write(
      `  ${threads} threads: ${side.toFixed(1)} ms per photo with its decoding; beyond decoding alone ${((side - t.alone) / t.alone).toFixed(2)} times it\n`,
    );
    const memory = await memoryOver(cv, read.value, files);
    process.stdout.write(
      `  memory: ${(process.resourceUsage().maxRSS / 1024).toFixed(0)} MB at most; ${memory.join(', ')} MB over ${MANY} photos of one bin and its end; OpenCV objects left: ${cv.live()}\n`,
    );
  }
  return EXIT.done;
};
