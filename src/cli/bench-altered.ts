import { readFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { createFileSet } from '../measure/file-set.ts';
import { lookAtFile } from '../measure/look-at-file.ts';
import { parseJob } from '../formats/job.ts';
import { jobMessage } from '../text/job-faults.ts';
import type { Job, MeasureFailure, MeasureResult } from '../formats/result.ts';
import type { Result } from '../result.ts';
import { survey } from '../vision/survey.ts';
import { ALTERATIONS, type Alteration } from './altered/alterations.ts';
import { decodedPixels, exifOf } from './altered/encode.ts';
import { outcomeOf, tableOf, type Outcome } from './altered/outcome.ts';
import { readTruth, type Truth } from './altered/truth.ts';
import { EXIT, type Command } from './command.ts';
import { decodePicture } from './decode.ts';

const HELP = `usage: npm run bench -- altered FOLDER... [--only=NAME;...] [--group=NAME] [--part=K/N] [--table]

Measures rendered sets whose truth.json is known, as they are and as life alters them: files, sizes, dirt, light, blur, processing, print.
Names hold commas, so semicolons part them. --part=1/3 takes every third alteration of each set, by turns another one: the parts are the whole.
A row per set and alteration; exit code 1 where a wrong number came without a remark, or a set was refused that is rightly expected.
`;

interface BenchSet {
  readonly folder: string;
  readonly job: Job;
  readonly truth: Truth;
  readonly files: readonly Uint8Array[];
}

/** Alters, writes, and measures a set as the command line measures files. */
export async function measureAltered(
  set: BenchSet,
  alteration: Alteration,
): Promise<Result<MeasureResult, MeasureFailure>> {
  const { picture, write, ending } = alteration;
  const renamed = (name: string): string => (ending === undefined ? name : name.replace(/[^.]*$/, ending));
  const altered = alteration.job ? alteration.job(set.job) : set.job;
  const job = { ...altered, shots: altered.shots.map((s) => ({ ...s, photo: renamed(s.photo) })) };
  const measuring = createFileSet(job, () => 0);
  for (const [i, shot] of altered.shots.entries()) {
    const k = set.job.shots.findIndex((s) => s.photo === shot.photo);
    const file = set.files[k]!;
    let bytes = file;
    if (picture && write) {
      const pixels = await decodedPixels(file);
      const seen = survey({ ...pixels, channels: 3 });
      const outline = seen.ok ? seen.value.regions[0]!.outline : new Float64Array(0);
      bytes = await write(await picture(pixels, { k, outline }), exifOf(file));
    }
    measuring.take(await lookAtFile(job.shots[i]!.photo, bytes, decodePicture, () => 0));
  }
  return measuring.finish();
}

/** A set with its numbers and true check bars, as a careful user enters them. */
export async function readBenchSet(folder: string): Promise<BenchSet> {
  const truth = await readTruth(folder);
  const raw = JSON.parse(await readFile(join(folder, 'job.json'), 'utf8')) as Record<string, unknown>;
  const [x, y] = typeof truth.print_scale === 'number' ? [truth.print_scale, truth.print_scale] : truth.print_scale;
  const given = raw['shots'] as readonly Record<string, unknown>[];
  const shots = given[0]?.['up'] === undefined ? (truth.shots ?? given) : given;
  const parsed = parseJob({ ...raw, shots, checkBar: 100 * x, checkBarY: 100 * y });
  if (!parsed.ok) throw new Error(`${folder}: ${jobMessage(parsed.error)}`);
  const files = await Promise.all(parsed.value.shots.map((s) => readFile(join(folder, s.photo))));
  return { folder, job: parsed.value, truth, files };
}

export const run: Command = async (args) => {
  const option = (name: string): string | undefined =>
    args.find((a) => a.startsWith(`--${name}=`))?.slice(name.length + 3);
  const folders = args.filter((a) => !a.startsWith('--'));
  const only = option('only')?.split(';');
  const group = option('group');
  const chosen = ALTERATIONS.filter(
    (a) => (!only || only.includes(a.name)) && (group === undefined || a.group === group),
  );
  const [part, parts] = (option('part') ?? '1/1').split('/').map(Number) as [number, number];
  if (folders.length === 0 || chosen.length === 0 || !(part >= 1 && part <= parts)) {
    process.stderr.write(HELP);
    return EXIT.usage;
  }
  const outcomes: Outcome[] = [];
  for (const [i, folder] of folders.entries()) {
    const set = await readBenchSet(folder);
    for (const alteration of chosen.filter((_, k) => (k + i) % parts === part - 1)) {
      const outcome = outcomeOf(basename(folder), alteration, await measureAltered(set, alteration), set.truth);
      outcomes.push(outcome);
      process.stdout.write(`${outcome.line}\n`);
    }
  }
  process.stdout.write(`\n${tableOf(outcomes, args.includes('--table'))}\n`);
  return outcomes.some((o) => o.failed) ? 1 : EXIT.done;
};
