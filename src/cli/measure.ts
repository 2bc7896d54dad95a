import { basename, join, resolve, sep } from 'node:path';
import { readdir } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { DIE_KINDS, type DieKind } from '../geometry/solid.ts';
import { bareAsked, parseAsked, type Asked } from '../measure/asked.ts';
import { createFileSet, type FileSet } from '../measure/file-set.ts';
import { jobMessage } from '../text/job-faults.ts';
import { remarkOf } from '../text/notes.ts';
import { resultJson } from '../measure/result-json.ts';
import type { MeasureFailure, MeasureResult, Progress } from '../formats/result.ts';
import { failure, success, type Result } from '../result.ts';
import { jsonFaultText, parseJson } from '../formats/json-text.ts';
import { EXIT, type Command } from './command.ts';
import { fileBytes, fileText } from './files.ts';
import { print, printJson, say } from './streams.ts';
import { decodePicture } from './decode.ts';
import { loadCv } from './opencv-node.ts';
import { numbersJson, numbersTable } from './numbers-table.ts';
import { resultTable } from './result-table.ts';
import { writeFaces } from './write-faces.ts';

const HELP = `usage: npm run -s evencast -- measure FOLDER [--die KIND] [--json] [--numbers-only] [--faces DIR]

Measures the die whose photos lie in FOLDER. Its kind and the numbers up and in front are read from the photos.
FOLDER/job.json may say more, or less:
  { "die": "d20", "shots": [{ "photo": "01.jpg", "up": 20, "front": 8 }, ...], "checkBar": 100.0, "checkBarY": 100.0 }
Numbers given there are checked against the faces. --die names the kind (${DIE_KINDS.join(', ')}).
--numbers-only tells the numbers and measures nothing; --faces DIR writes each face's best picture and the die's net as PNG.
Progress goes to stderr, the result to stdout: a table, or with --json one object in the format evencast-result/1.
Exit code: 0 measured, 2 usage, 3 not measurable (the JSON then holds "error").
`;

interface Options {
  readonly folder: string;
  readonly die: DieKind | null;
  readonly json: boolean;
  readonly numbersOnly: boolean;
  readonly faces: string | null;
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
      },
    });
    const { die, json, faces } = values;
    if (positionals.length !== 1) return '';
    if (die !== undefined && !(DIE_KINDS as readonly string[]).includes(die)) return `--die ${die}: no kind of die`;
    const kind = (die ?? null) as DieKind | null;
    return { folder: positionals[0]!, die: kind, json, numbersOnly: values['numbers-only'], faces: faces ?? null };
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
  const { json, faces } = options;
  const tell = (text: string): void => say(`${text}\n`);
  const opened = await openFolder(options.folder, options.die, tell);
  if (!opened.ok) return failed(opened.error, json);
  const set = opened.value;
  if (options.numbersOnly || faces !== null) {
    const numbers = set.numbers();
    if (!numbers.ok) return failed(told(numbers.error), json);
    if (faces !== null) await writeFaces(faces, numbers.value.set);
    if (options.numbersOnly) {
      if (json) printJson(numbersJson(numbers.value));
      else print(numbersTable(numbers.value));
      return numbers.value.photos.every((p) => p.numbersFrom) ? EXIT.done : EXIT.notMeasurable;
    }
  }
  const outcome = finished(set, tell);
  if (!outcome.ok) return failed(outcome.error, json);
  if (json) printJson(resultJson(outcome));
  else print(resultTable(outcome.value));
  return EXIT.done;
};

function failed(error: FolderFailure, json: boolean): number {
  if (json) printJson(resultJson(failure(error)));
  say(`evencast measure: ${error.message}\n`);
  for (const p of error.photos) if (p.remark !== null) say(`  ${p.photo}: ${p.remark}\n`);
  return EXIT.notMeasurable;
}

export type FolderFailure = Omit<MeasureFailure, 'code'> & {
  readonly code: MeasureFailure['code'] | 'job';
  readonly message: string;
};

const PICTURE = /\.(jpe?g|png|webp|avif|tiff?|heic|heif)$/i;

/** Reads the job of a folder, its photos in the order of their names where it has none; says what is wrong with it. */
export async function readJob(folder: string, die: DieKind | null = null): Promise<Result<Asked, FolderFailure>> {
  const wrong = (message: string): Result<Asked, FolderFailure> => failure({ code: 'job', message, photos: [] });
  const text = await fileText(join(folder, 'job.json'));
  if (!text.ok) {
    const names = (await readdir(folder).catch(() => [])).filter((n) => PICTURE.test(n)).sort();
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

/** Looks at the photos of a folder, one in memory at a time. */
async function openFolder(
  folder: string,
  die: DieKind | null,
  tell: (text: string) => void,
): Promise<Result<FileSet, FolderFailure>> {
  const job = await readJob(folder, die);
  if (!job.ok) return job;
  const { shots } = job.value;
  const set = createFileSet(await loadCv(), job.value, () => performance.now() / 1000);
  for (const [i, shot] of shots.entries()) {
    const bytes = await fileBytes(join(folder, shot.photo));
    const judged = await set.add(shot.photo, bytes.ok ? bytes.value : new Uint8Array(0), decodePicture);
    tell(
      `${i + 1}/${shots.length} ${shot.photo}: ${judged.status}${judged.remark === null ? '' : ` - ${judged.remark}`}`,
    );
  }
  return success(set);
}

/** Measures the photos of a folder, one in memory at a time. */
export async function measureFolder(
  folder: string,
  tell: (text: string) => void,
): Promise<Result<MeasureResult, FolderFailure>> {
  const set = await openFolder(folder, null, tell);
  return set.ok ? finished(set.value, tell) : set;
}

const told = (error: MeasureFailure): FolderFailure => ({ ...error, message: remarkOf(error) });

function finished(set: FileSet, tell: (text: string) => void): Result<MeasureResult, FolderFailure> {
  let last = '';
  const outcome = set.finish((p: Progress) => {
    const percent = Math.round(100 * p.fraction);
    const line = `${p.stage} ${percent} %`;
    if (line !== last && percent % 10 === 0) tell((last = line));
  });
  return outcome.ok ? outcome : failure(told(outcome.error));
}
