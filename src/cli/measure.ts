import { readFile } from 'node:fs/promises';
import { basename, join, resolve, sep } from 'node:path';
import { createMeasurement, leftOut } from '../measure/measure.ts';
import { parseJob } from '../measure/job.ts';
import { messageOf } from '../measure/messages.ts';
import type { Job, MeasureFailure, MeasureResult, Note, PhotoResult, Progress } from '../measure/types.ts';
import { failure, type Result } from '../result.ts';
import { EXIT, type Command } from './command.ts';
import { decodePhoto } from './decode.ts';
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
    process.stdout.write(HELP);
    return EXIT.done;
  }
  const json = args.includes('--json');
  const unknown = args.find((a) => a.startsWith('-') && a !== '--json');
  const folders = args.filter((a) => !a.startsWith('-'));
  if (unknown !== undefined || folders.length !== 1) {
    process.stderr.write(unknown === undefined ? HELP : `evencast measure: no option ${unknown}\n${HELP}`);
    return EXIT.usage;
  }
  const outcome = await measureFolder(folders[0]!, (text) => process.stderr.write(`${text}\n`));
  if (outcome.ok) {
    process.stdout.write(json ? `${JSON.stringify(outcome.value, null, 1)}\n` : resultTable(outcome.value));
    return EXIT.done;
  }
  const { photos, ...error } = outcome.error;
  if (json)
    process.stdout.write(
      `${JSON.stringify({ format: 'evencast-result/1', error: { ...error, message: outcome.error.message }, photos }, null, 1)}\n`,
    );
  process.stderr.write(`evencast measure: ${outcome.error.message}\n`);
  for (const p of photos) if (p.remark !== null) process.stderr.write(`  ${p.photo}: ${p.remark}\n`);
  return EXIT.notMeasurable;
};

export type FolderFailure = Omit<MeasureFailure, 'code'> & {
  readonly code: MeasureFailure['code'] | 'job';
  readonly message: string;
};

const spoken = (note: Note): string => {
  const m = messageOf(note);
  return `${m.text} ${m.advice}`;
};

/** Reads the job of a folder; says what is wrong with it. */
export async function readJob(folder: string): Promise<Result<Job, FolderFailure>> {
  const wrong = (message: string): Result<Job, FolderFailure> => failure({ code: 'job', message, photos: [] });
  let text: string;
  try {
    text = await readFile(join(folder, 'job.json'), 'utf8');
  } catch {
    return wrong(`${join(folder, 'job.json')} cannot be read; it names the die and the photos (see --help)`);
  }
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch (e) {
    return wrong(`job.json is no JSON: ${e instanceof Error ? e.message : ''}`);
  }
  const job = parseJob(json);
  if (!job.ok) return wrong(job.error.message);
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
  const cv = await loadCv();
  const measurement = createMeasurement(cv, job.value);
  const spent = { decode: 0, card: 0, fit: 0 };
  const refused = new Map<string, PhotoResult>();
  for (const [i, shot] of job.value.shots.entries()) {
    const begun = performance.now();
    const bytes = await readFile(join(folder, shot.photo)).catch(() => null);
    const photo = bytes ? await decodePhoto(shot.photo, bytes) : failure<Note>({ code: 'unreadable', seen: 'no file' });
    spent.decode += performance.now() - begun;
    const looked = performance.now();
    const judged = photo.ok
      ? measurement.addPhoto(photo.value)
      : leftOut(shot.photo, shot.up, shot.front, [photo.error]);
    if (!photo.ok) refused.set(shot.photo, judged);
    spent.card += performance.now() - looked;
    tell(
      `${i + 1}/${job.value.shots.length} ${shot.photo}: ${judged.status}${judged.remark === null ? '' : ` - ${judged.remark}`}`,
    );
  }
  const begun = performance.now();
  let told = '';
  const outcome = measurement.finish((p: Progress) => {
    const line = `${p.stage} ${Math.round(100 * p.fraction)} %`;
    if (line !== told && Math.round(100 * p.fraction) % 10 === 0) tell((told = line));
  });
  spent.fit = performance.now() - begun;
  const n = job.value.shots.length;
  const withRefused = (photos: readonly PhotoResult[]): PhotoResult[] => photos.map((p) => refused.get(p.photo) ?? p);
  if (!outcome.ok)
    return failure({ ...outcome.error, photos: withRefused(outcome.error.photos), message: spoken(outcome.error) });
  const timing = Object.fromEntries(Object.entries(spent).map(([k, v]) => [k, Math.round(v / n) / 1000]));
  return { ok: true, value: { ...outcome.value, photos: withRefused(outcome.value.photos), timing } };
}
