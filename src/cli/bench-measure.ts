import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { createMeasurement } from '../measure/measure.ts';
import type { Asked } from '../measure/asked.ts';
import type { Cv } from '../vision/cv.ts';
import { EXIT, type Command } from './command.ts';
import { focalPx } from '../photo/exif-focal.ts';
import { sniffImage } from '../photo/sniff.ts';
import { decodePicture } from './decode.ts';
import { readJob } from './measure.ts';
import { loadCv } from './opencv-node.ts';

/** Runs before the one that counts, and runs that count: their least times are given. */
const WARM = 6;
const RUNS = 5;
const REPEATS = 10;

interface Times {
  readonly decode: number;
  readonly look: number;
  readonly finish: number;
  readonly total: number;
}

/** One whole measurement of a folder, ms per photo. */
async function once(cv: Cv, folder: string, job: Asked, files: readonly Buffer[]): Promise<Times> {
  const measurement = createMeasurement(cv, job);
  let [decode, look] = [0, 0];
  const begun = performance.now();
  for (const [i, shot] of job.shots.entries()) {
    const t0 = performance.now();
    const picture = await decodePicture(files[i]!);
    const sniffed = sniffImage(files[i]!);
    const t1 = performance.now();
    const focal = sniffed.ok ? focalPx(sniffed.value.focal35, picture.width, picture.height) : null;
    measurement.addPhoto({ name: shot.photo, picture, focal });
    decode += t1 - t0;
    look += performance.now() - t1;
  }
  const t2 = performance.now();
  const outcome = measurement.finish();
  if (!outcome.ok) throw new Error(`${folder}: ${outcome.error.code}`);
  const finish = performance.now() - t2;
  const n = job.shots.length;
  return { decode: decode / n, look: look / n, finish: finish / n, total: (performance.now() - begun) / n };
}

/** Decoding alone, the yardstick, ms per photo. */
async function decodeAlone(job: Asked, files: readonly Buffer[]): Promise<number> {
  const begun = performance.now();
  for (let i = 0; i < job.shots.length; i++) await decodePicture(files[i]!);
  return (performance.now() - begun) / job.shots.length;
}

/** Times measuring against decoding the same photos in the same run; says what memory it took and whether it grows. */
export const run: Command = async (folders) => {
  const cv = await loadCv();
  const ratios: number[] = [];
  for (const folder of folders) {
    const job = await readJob(folder);
    if (!job.ok) {
      process.stderr.write(`${folder}: ${job.error.message}\n`);
      return EXIT.usage;
    }
    const files = await Promise.all(job.value.shots.map((s) => readFile(join(folder, s.photo))));
    let best: Times | null = null;
    let yardstick = Infinity;
    for (let r = 0; r < WARM + RUNS; r++) {
      const alone = await decodeAlone(job.value, files);
      const times = await once(cv, folder, job.value, files);
      if (r < WARM) continue;
      yardstick = Math.min(yardstick, alone);
      if (!best || times.total < best.total) best = times;
    }
    const ratio = best!.total / yardstick;
    ratios.push(ratio);
    const f = (v: number): string => v.toFixed(1).padStart(7);
    process.stdout.write(
      `${folder}: ms per photo: decode ${f(best!.decode)}, card and die ${f(best!.look)}, edges and fit ${f(best!.finish)}, total ${f(best!.total)}; ${ratio.toFixed(2)} times decoding alone (${yardstick.toFixed(1)})\n`,
    );
    const before = process.memoryUsage().rss;
    for (let r = 0; r < REPEATS; r++) await once(cv, folder, job.value, files);
    const after = process.memoryUsage().rss;
    process.stdout.write(
      `  memory: ${(process.resourceUsage().maxRSS / 1024).toFixed(0)} MB at most, ${((after - before) / 1e6).toFixed(0)} MB more after ${REPEATS} repeats; OpenCV objects left: ${cv.live()}\n`,
    );
  }
  if (ratios.length > 1)
    process.stdout.write(`median ratio: ${[...ratios].sort((a, b) => a - b)[ratios.length >> 1]!.toFixed(2)}\n`);
  return EXIT.done;
};
