import { readdir } from 'node:fs/promises';
import { join, resolve, sep } from 'node:path';
import { parseArgs } from 'node:util';
import { addBinFile } from '../bin/file.ts';
import { createBin } from '../bin/bin.ts';
import { binCsv } from '../bin/csv.ts';
import { parseBinJob, readReference, type BinFolderJob } from '../formats/bin.ts';
import type { BinPhoto, BinResult } from '../bin/types.ts';
import { DIE_KINDS } from '../geometry/solid.ts';
import { failure, success, type Result } from '../result.ts';
import { fileFaultText, formatFaultText } from '../text/format-faults.ts';
import { binTable } from './bin-table.ts';
import { jsonFaultText, parseJson } from '../formats/json-text.ts';
import { EXIT, type Command } from './command.ts';
import { fileBytes, fileJson, fileText } from './files.ts';
import { print, printJson, put, say } from './streams.ts';
import { decodePicture } from './decode.ts';
import { loadCv } from './opencv-node.ts';

const HELP = `usage: npm run -s evencast -- bin FOLDER [--die KIND] [--reference R.json] [--same-dice] [--json | --csv]

Sorts dice from photos of several at once on the card's stage: keep, look again, or reject, with the reason.
FOLDER/job.json may hold { "die": "d20", "photos": ["01.jpg", ...], "checkBar": 100.0, "size": 19.2, "radius": 0.4,
  "limits": { "size": 0.15, "radius": 0.8, "departure": 0.06 }, "sameDice": false }, lengths in mm; without it name the kind, and all
  pictures of the folder are taken.
  --reference  a die measured fully (what "measure --json" prints), or nominal values and limits ("evencast-bin-reference/1");
               without it and without "size" dice are held against the median of the bin
  --same-dice  all photos show the same dice in the same places, each turned: then they are judged together too
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
      printJson(`${JSON.stringify({ format: 'evencast-bin/1', error: { code: 'job', message: job.error }, photos: [] }, null, 1)}\n`); // prettier-ignore
    return EXIT.notMeasurable;
  }
  const result = await sorted(options.folder, job.value, (text) => say(`${text}\n`));
  const used = result.photos.some((p) => p.status !== 'left-out');
  if (options.form === 'json') printJson(`${JSON.stringify(result, null, 1)}\n`);
  else if (options.form === 'csv') await put(binCsv(result.photos), null);
  else print(binTable(result));
  return used ? EXIT.done : EXIT.notMeasurable;
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
      },
    });
    if (positionals.length !== 1) return `${positionals.length} folders given, 1 needed`;
    if (values.die !== undefined && !(DIE_KINDS as readonly string[]).includes(values.die))
      return `--die ${values.die}: no kind of die`;
    return {
      folder: positionals[0]!,
      die: values.die,
      reference: values.reference,
      sameDice: values['same-dice'],
      form: values.json ? 'json' : values.csv ? 'csv' : 'table',
    };
  } catch (error) {
    return (error as Error).message;
  }
}

const PICTURE = /\.(jpe?g|png|webp|avif|tiff?|heic|heif)$/i;

/** The folder's job with what the command line adds, and its photos in the order of their names. */
export async function binFolder({
  folder,
  die,
  reference,
  sameDice,
}: Omit<Options, 'form'>): Promise<Result<BinFolderJob, string>> {
  const text = await fileText(join(folder, 'job.json'));
  if (!text.ok && die === undefined)
    return failure(`${text.error}; name the kind with --die, or write it (see --help)`);
  const json = parseJson(text.ok ? text.value : '{}');
  if (!json.ok) return failure(`job.json: ${jsonFaultText(json.error)}`);
  const given = typeof json.value === 'object' && json.value !== null ? json.value : {};
  const job = parseBinJob(die === undefined ? json.value : { ...given, die });
  if (!job.ok) return failure(`job.json: ${formatFaultText(job.error, 'en')}`);
  const names = job.value.photos ?? (await readdir(folder).catch(() => [])).filter((n) => PICTURE.test(n)).sort();
  const base = resolve(folder);
  const stray = names.find((n) => !resolve(base, n).startsWith(base + sep));
  if (stray !== undefined) return failure(`job.json names a photo outside the folder: ${stray}`);
  if (names.length === 0) return failure(`no picture lies in ${folder}`);
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

/** Sorts the photos, one in memory at a time. */
async function sorted(folder: string, { job, photos }: BinFolderJob, tell: (text: string) => void): Promise<BinResult> {
  const bin = createBin(await loadCv(), job);
  for (const [i, name] of photos!.entries()) {
    const bytes = await fileBytes(join(folder, name));
    const one = await addBinFile(bin, name, bytes.ok ? bytes.value : new Uint8Array(0), decodePicture);
    tell(`${i + 1}/${photos!.length} ${name}: ${said(one)}`);
  }
  return bin.finish();
}

function said(p: BinPhoto): string {
  if (p.status === 'left-out') return `left out - ${p.remark ?? ''}`;
  const count = (v: string): number => p.dice.filter((d) => d.verdict === v).length;
  return `${count('keep')} keep, ${count('look-again')} look again, ${count('reject')} reject${p.remark === null ? '' : ` - ${p.remark}`}`;
}
