import { join, resolve, sep } from 'node:path';
import { parseArgs } from 'node:util';
import { MOST_BIN_PHOTOS, parseBinJob, readReference, type BinFolderJob } from '../formats/bin.ts';
import { DIE_KINDS } from '../geometry/solid.ts';
import { failure, success, type Result } from '../result.ts';
import { fileFaultText, formatFaultText } from '../text/format-faults.ts';
import { sortedFile, sortedList, sortedWhole } from './bin-sort.ts';
import { binTable } from './bin-table.ts';
import { jsonFaultText, parseJson } from '../formats/json-text.ts';
import { EXIT, type Command } from './command.ts';
import { threadCount, threadsAsked } from './threads.ts';
import { fileJson, fileText, pictureNames } from './files.ts';
import { print, printJson, say } from './streams.ts';

const HELP = `usage: npm run -s evencast -- bin FOLDER [--die KIND] [--reference R.json] [--same-dice] [--json | --csv [--out FILE]]
       [--threads N]

Sorts dice from photos of several at once on the card's stage: keep, look again, or reject, with the reason.
FOLDER/job.json may hold { "die": "d20", "photos": ["01.jpg", ...], "checkBar": 100.0, "size": 19.2, "radius": 0.4,
  "limits": { "size": 0.15, "radius": 0.8, "departure": 0.06 }, "sameDice": false }, lengths in mm; without it name the kind, and all
  pictures of the folder are taken.
  --reference  a die measured fully (what "measure --json" prints), or nominal values and limits ("evencast-bin-reference/1");
               without it and without "size" dice are held against the median of the bin
  --same-dice  all photos show the same dice in the same places, each turned: then they are judged together too
  --out FILE   writes the list there once it is whole. Until then FILE.journal holds what was done: given again after it was stopped or
               killed, the same command goes on where it ended. However many photos, memory holds but a few
  --threads    how many photos are looked at side by side; as many as the machine has cores, where it has the memory
What one photo does not show is not judged: a die's upright axis and its underside.
Progress goes to stderr, the result to stdout: a table, or with --json one object in the format evencast-bin/1.
Exit code: 0 sorted, 2 usage, 3 no photo could be used.
`;

interface Options {
  readonly folder: string;
  readonly die: string | undefined;
  readonly reference: string | undefined;
  readonly sameDice: boolean;
  readonly form: 'table' | 'json' | 'csv';
  readonly out: string | null;
  readonly threads: number | null;
}

export const run: Command = async (args) => {
  if (args.includes('--help') || args.includes('-h')) {
    print(HELP);
    return EXIT.done;
  }
  const options = read(args);
  if (typeof options === 'string') {
    say(`evencast bin: ${options}\n${HELP}`);
    return EXIT.usage;
  }
  const job = await binFolder(options);
  if (!job.ok) {
    say(`evencast bin: ${job.error}\n`);
    if (options.form === 'json')
      printJson(
        `${JSON.stringify({ format: 'evencast-bin/1', error: { code: 'job', message: job.error }, photos: [] }, null, 1)}\n`,
      );
    return EXIT.notMeasurable;
  }
  const work = {
    folder: options.folder,
    job: job.value.job,
    photos: job.value.photos!,
    threads: threadCount(options.threads),
  };
  const tell = (text: string): void => say(`${text}\n`);
  if (options.form === 'csv') {
    const used =
      options.out === null ? success(await sortedList(work, tell)) : await sortedFile(work, options.out, tell);
    if (!used.ok) {
      tell(`evencast bin: ${used.error}`);
      return EXIT.failed;
    }
    return used.value ? EXIT.done : EXIT.notMeasurable;
  }
  const result = await sortedWhole(work, tell);
  if (options.form === 'json') printJson(`${JSON.stringify(result, null, 1)}\n`);
  else print(binTable(result));
  return result.photos.some((p) => p.status !== 'left-out') ? EXIT.done : EXIT.notMeasurable;
};

function read(args: readonly string[]): Options | string {
  try {
    const { values, positionals } = parseArgs({
      args: [...args],
      allowPositionals: true,
      options: {
        die: { type: 'string' },
        reference: { type: 'string' },
        'same-dice': { type: 'boolean', default: false },
        json: { type: 'boolean', default: false },
        csv: { type: 'boolean', default: false },
        out: { type: 'string' },
        threads: { type: 'string' },
      },
    });
    if (positionals.length !== 1) return `${positionals.length} folders given, 1 needed`;
    if (values.die !== undefined && !(DIE_KINDS as readonly string[]).includes(values.die))
      return `--die ${values.die}: no kind of die`;
    const threads = threadsAsked(values.threads);
    if (threads === undefined) return `--threads ${values.threads}: no number from 1 to 64`;
    if (values.out !== undefined && !values.csv) return '--out is for the list: give --csv too';
    return {
      folder: positionals[0]!,
      die: values.die,
      reference: values.reference,
      sameDice: values['same-dice'],
      form: values.json ? 'json' : values.csv ? 'csv' : 'table',
      out: values.out ?? null,
      threads,
    };
  } catch (error) {
    return (error as Error).message;
  }
}

/** The folder's job with what the command line adds, and its photos in the order of their names. */
export async function binFolder({
  folder,
  die,
  reference,
  sameDice,
}: Pick<Options, 'folder' | 'die' | 'reference' | 'sameDice'>): Promise<Result<BinFolderJob, string>> {
  const text = await fileText(join(folder, 'job.json'));
  if (!text.ok && die === undefined)
    return failure(`${text.error}; name the kind with --die, or write it (see --help)`);
  const json = parseJson(text.ok ? text.value : '{}');
  if (!json.ok) return failure(`job.json: ${jsonFaultText(json.error)}`);
  const given = typeof json.value === 'object' && json.value !== null ? json.value : {};
  const job = parseBinJob(die === undefined ? json.value : { ...given, die });
  if (!job.ok) return failure(`job.json: ${formatFaultText(job.error, 'en')}`);
  const names = job.value.photos ?? (await pictureNames(folder));
  const base = resolve(folder);
  const stray = names.find((n) => !resolve(base, n).startsWith(base + sep));
  if (stray !== undefined) return failure(`job.json names a photo outside the folder: ${stray}`);
  if (names.length === 0) return failure(`no picture lies in ${folder}`);
  if (names.length > MOST_BIN_PHOTOS)
    return failure(`${names.length} pictures lie in ${folder}; at most ${MOST_BIN_PHOTOS} are sorted at once`);
  const same = sameDice || job.value.job.sameDice;
  if (reference === undefined) return success({ photos: names, job: { ...job.value.job, sameDice: same } });
  const file = await fileJson(reference, true);
  if (!file.ok) return file;
  const found = readReference(file.value);
  if (!found.ok) return failure(`${reference}: ${fileFaultText(found.error, 'en')}`);
  if (found.value.kind !== job.value.job.die)
    return failure(`${reference} is of a ${found.value.kind}, the bin holds ${job.value.job.die}`);
  const limits = { ...found.value.limits, ...job.value.job.limits };
  return success({
    photos: names,
    job: { ...job.value.job, reference: found.value.reference, limits, sameDice: same },
  });
}
