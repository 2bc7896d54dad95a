import { basename, join, resolve, sep } from 'node:path';
import { parseArgs } from 'node:util';
import { DIE_KINDS, type DieKind } from '../geometry/solid.ts';
import { bareAsked, parseAsked, type Asked } from '../measure/asked.ts';
import { createFileSet, type FileSet } from '../measure/file-set.ts';
import type { LookedFile } from '../measure/look-at-file.ts';
import type { PhotoCrew } from '../measure/photo-crew.ts';
import { ahead } from '../pool/pool.ts';
import { jobMessage } from '../text/job-faults.ts';
import { remarkOf } from '../text/notes.ts';
import { resultJson } from '../measure/result-json.ts';
import type { MeasureFailure, MeasureResult, Progress } from '../formats/result.ts';
import { failure, success, type Result } from '../result.ts';
import { jsonFaultText, parseJson } from '../formats/json-text.ts';
import { EXIT, type Command } from './command.ts';
import { fileBytes, fileText, pictureNames } from './files.ts';
import { print, printJson, say } from './streams.ts';
import { crewFor } from './photo-crew.ts';
import { threadsAsked } from './threads.ts';
import { numbersJson, numbersTable } from './numbers-table.ts';
import { resultTable } from './result-table.ts';
import type { writeFaces } from './write-faces.ts';

const HELP = `usage: npm run -s evencast -- measure FOLDER [--die KIND] [--json] [--numbers-only] [--faces DIR] [--threads N]

Measures the die whose photos lie in FOLDER. Its kind and the numbers up and in front are read from the photos.
FOLDER/job.json may say more, or less:
  { "die": "d20", "shots": [{ "photo": "01.jpg", "up": 20, "front": 8 }, ...], "checkBar": 100.0, "checkBarY": 100.0 }
Numbers given there are checked against the faces. --die names the kind (${DIE_KINDS.join(', ')}).
--numbers-only tells the numbers and measures nothing; --faces DIR writes each face's best picture and the die's net as PNG.
--threads N looks at so many photos at once; without it as many as the machine has cores, if its memory holds them and the set has enough to be worth it. The result is the same.
Progress goes to stderr, the result to stdout: a table, or with --json one object in the format evencast-result/1.
Exit code: 0 measured, 2 usage, 3 not measurable (the JSON then holds "error").
`;

interface Options {
  readonly folder: string;
  readonly die: DieKind | null;
  readonly json: boolean;
  readonly numbersOnly: boolean;
  readonly faces: string | null;
  readonly threads: number | null;
}

function optionsOf(args: readonly string[]): Options | string {
  try {
    const { values, positionals } = parseArgs({
      args: [...args],
      allowPositionals: true,
      options: {
        die: { type: 'string' },
        json: { type: 'boolean', default: false },
        'numbers-only': { type: 'boolean', default: false },
        faces: { type: 'string' },
        threads: { type: 'string' },
      },
    });
    const { die, json, faces } = values;
    if (positionals.length !== 1) return '';
    if (die !== undefined && !(DIE_KINDS as readonly string[]).includes(die)) return `--die ${die}: no kind of die`;
    const kind = (die ?? null) as DieKind | null;
    const threads = threadsAsked(values.threads);
    if (threads === undefined) return `--threads ${values.threads}: a whole number from 1 to 64 is needed`;
    return {
      folder: positionals[0]!,
      die: kind,
      json,
      numbersOnly: values['numbers-only'],
      faces: faces ?? null,
      threads,
    };
  } catch (error) {
    return (error as Error).message;
  }
}

export const run: Command = async (args) => {
  if (args.includes('--help') || args.includes('-h')) {
    print(HELP);
    return EXIT.done;
  }
  const options = optionsOf(args);
  if (typeof options === 'string') {
    say(options === '' ? HELP : `evencast measure: ${options}\n${HELP}`);
    return EXIT.usage;
  }
  const tell = (text: string): void => say(`${text}\n`);
  const job = await readJob(options.folder, options.die);
  if (!job.ok) return failed(job.error, options.json);
  const crew = crewFor(options.threads, job.value.shots.length);
  try {
    return await measured(options, job.value, crew, tell);
  } finally {
    crew.close();
  }
};

async function measured(
  { folder, json, faces, numbersOnly }: Options,
  job: Asked,
  crew: PhotoCrew,
  tell: (text: string) => void,
): Promise<number> {
  const set = await lookedFolder(folder, job, crew, tell);
  if (numbersOnly || faces !== null) {
    const numbers = await set.numbers(crew.size > 1 ? crew : undefined);
    if (!numbers.ok) return failed(told(numbers.error), json);
    const written = faces === null ? success(null) : await facesWritten(faces, numbers.value.set);
    if (!written.ok) {
      say(`evencast measure: ${written.error}\n`);
      return EXIT.failed;
    }
    if (numbersOnly) {
      if (json) printJson(numbersJson(numbers.value));
      else print(numbersTable(numbers.value));
      return numbers.value.photos.every((p) => p.numbersFrom) ? EXIT.done : EXIT.notMeasurable;
    }
  }
  const outcome = await finished(set, crew, tell);
  if (!outcome.ok) return failed(outcome.error, json);
  if (json) printJson(resultJson(outcome));
  else print(resultTable(outcome.value));
  return EXIT.done;
}

/** What writes pictures is loaded when there are some to write. */
const facesWritten = async (...of: Parameters<typeof writeFaces>): ReturnType<typeof writeFaces> =>
  (await import('./write-faces.ts')).writeFaces(...of);

function failed(error: FolderFailure, json: boolean): number {
  if (json) printJson(resultJson(failure(error)));
  say(`evencast measure: ${error.message}\n`);
  for (const p of error.photos) if (p.remark !== null) say(`  ${p.photo}: ${p.remark}\n`);
  return EXIT.notMeasurable;
}

/** A folder may fail before any photo is read: by its job file. */
export type FolderFailure = Omit<MeasureFailure, 'code'> & {
  readonly code: MeasureFailure['code'] | 'job';
  readonly message: string;
};

/** Reads the job of a folder, its photos in the order of their names where it has none; says what is wrong with it. */
export async function readJob(folder: string, die: DieKind | null = null): Promise<Result<Asked, FolderFailure>> {
  const wrong = (message: string): Result<Asked, FolderFailure> => failure({ code: 'job', message, photos: [] });
  const text = await fileText(join(folder, 'job.json'));
  if (!text.ok) {
    const names = await pictureNames(folder);
    return names.length > 0
      ? success(bareAsked(die, names))
      : wrong(`${text.error}, and the folder holds no photos (see --help)`);
  }
  const json = parseJson(text.value);
  if (!json.ok) return wrong(`job.json: ${jsonFaultText(json.error)}`);
  const job = parseAsked(json.value, die);
  if (!job.ok) return wrong(jobMessage(job.error));
  const base = resolve(folder);
  const stray = job.value.shots.find((s) => !resolve(base, s.photo).startsWith(base + sep));
  return stray ? wrong(`job.json names a photo outside the folder: ${basename(stray.photo)}`) : job;
}

/** Looks at the photos of a folder side by side, and takes them in the order of the job. */
async function lookedFolder(
  folder: string,
  job: Asked,
  crew: PhotoCrew,
  tell: (text: string) => void,
): Promise<FileSet> {
  const { shots } = job;
  const set = createFileSet(job, () => performance.now() / 1000);
  const look = async (photo: string): Promise<LookedFile> => {
    const bytes = await fileBytes(join(folder, photo));
    if (!bytes.ok) tell(bytes.error);
    return crew.look(photo, bytes.ok ? bytes.value : new Uint8Array(0));
  };
  let i = 0;
  for await (const looked of ahead(shots, ({ photo }) => look(photo), 2 * crew.size)) {
    const { photo, status, remark } = set.take(looked);
    tell(`${++i}/${shots.length} ${photo}: ${status}${remark === null ? '' : ` - ${remark}`}`);
  }
  return set;
}

/** Measures the photos of a folder. */
export async function measureFolder(
  folder: string,
  tell: (text: string) => void,
): Promise<Result<MeasureResult, FolderFailure>> {
  const job = await readJob(folder);
  if (!job.ok) return job;
  const crew = crewFor(null, job.value.shots.length);
  try {
    return await finished(await lookedFolder(folder, job.value, crew, tell), crew, tell);
  } finally {
    crew.close();
  }
}

const told = (error: MeasureFailure): FolderFailure => ({ ...error, message: remarkOf(error) });

async function finished(
  set: FileSet,
  crew: PhotoCrew,
  tell: (text: string) => void,
): Promise<Result<MeasureResult, FolderFailure>> {
  let last = '';
  // Of one there is nothing to hand out.
  const outcome = await set.finish(
    (p: Progress) => {
      const percent = Math.round(100 * p.fraction);
      const line = `${p.stage} ${percent} %`;
      if (line !== last && percent % 10 === 0) tell((last = line));
    },
    crew.size > 1 ? crew : undefined,
  );
  return outcome.ok ? outcome : failure(told(outcome.error));
}
