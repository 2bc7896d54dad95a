import { basename, join, resolve, sep } from 'node:path';
import { createFileSet } from '../measure/file-set.ts';
import { jobMessage } from '../text/job-faults.ts';
import { parseJob } from '../formats/job.ts';
import { remarkOf } from '../measure/messages.ts';
import { resultJson } from '../measure/result-json.ts';
import type { Job, MeasureFailure, MeasureResult, Progress } from '../formats/result.ts';
import { failure, type Result } from '../result.ts';
import { jsonFaultText, parseJson } from '../formats/json-text.ts';
import { EXIT, type Command } from './command.ts';
import { fileBytes, fileText } from './files.ts';
import { print, printJson, say } from './streams.ts';
import { decodePicture } from './decode.ts';
import { loadCv } from './opencv-node.ts';
import { resultTable } from './result-table.ts';

const HELP = `usage: npm run -s evencast -- measure FOLDER [--json]

Measures the die whose photos lie in FOLDER, as FOLDER/job.json tells:
  { "die": "d20", "shots": [{ "photo": "01.jpg", "up": 20, "front": 8 }, ...], "checkBar": 100.0, "checkBarY": 100.0 }
Progress goes to stderr, the result to stdout: a table, or with --json one object in the format evencast-result/1.
Exit code: 0 measured, 2 usage, 3 not measurable (the JSON then holds "error").
`;

export const run: Command = async (args) => {
  if (args.includes('--help') || args.includes('-h')) {
    print(HELP);
    return EXIT.done;
  }
  const json = args.includes('--json');
  const unknown = args.find((a) => a.startsWith('-') && a !== '--json');
  const folders = args.filter((a) => !a.startsWith('-'));
  if (unknown !== undefined || folders.length !== 1) {
    say(unknown === undefined ? HELP : `evencast measure: no option ${unknown}\n${HELP}`);
    return EXIT.usage;
  }
  const outcome = await measureFolder(folders[0]!, (text) => say(`${text}\n`));
  if (outcome.ok) {
    if (json) printJson(resultJson(outcome));
    else print(resultTable(outcome.value));
    return EXIT.done;
  }
  const { message, photos } = outcome.error;
  if (json) printJson(failureJson(outcome.error));
  say(`evencast measure: ${message}\n`);
  for (const p of photos) if (p.remark !== null) say(`  ${p.photo}: ${p.remark}\n`);
  return EXIT.notMeasurable;
};

export type FolderFailure = Omit<MeasureFailure, 'code'> & {
  readonly code: MeasureFailure['code'] | 'job';
  readonly message: string;
};

/** A failure as the JSON of a result. */
function failureJson({ photos, ...error }: FolderFailure): string {
  return `${JSON.stringify({ format: 'evencast-result/1', error, photos }, null, 1)}\n`;
}

/** Reads the job of a folder; says what is wrong with it. */
export async function readJob(folder: string): Promise<Result<Job, FolderFailure>> {
  const wrong = (message: string): Result<Job, FolderFailure> => failure({ code: 'job', message, photos: [] });
  const text = await fileText(join(folder, 'job.json'));
  if (!text.ok) return wrong(`${text.error}; it names the die and the photos (see --help)`);
  const json = parseJson(text.value);
  if (!json.ok) return wrong(`job.json: ${jsonFaultText(json.error)}`);
  const job = parseJob(json.value);
  if (!job.ok) return wrong(jobMessage(job.error));
  const base = resolve(folder);
  const stray = job.value.shots.find((s) => !resolve(base, s.photo).startsWith(base + sep));
  return stray ? wrong(`job.json names a photo outside the folder: ${basename(stray.photo)}`) : job;
}

/** Measures the photos of a folder, one in memory at a time. */
export async function measureFolder(
  folder: string,
  tell: (text: string) => void,
): Promise<Result<MeasureResult, FolderFailure>> {
  const job = await readJob(folder);
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
  let told = '';
  const outcome = set.finish((p: Progress) => {
    const percent = Math.round(100 * p.fraction);
    const line = `${p.stage} ${percent} %`;
    if (line !== told && percent % 10 === 0) tell((told = line));
  });
  return outcome.ok ? outcome : failure({ ...outcome.error, message: remarkOf(outcome.error) });
}
