import { readFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { addBinFile } from '../bin/file.ts';
import { createBin } from '../bin/bin.ts';
import type { BinDie, BinJob, BinPhoto } from '../bin/types.ts';
import { parseBinJob } from '../formats/bin.ts';
import { formatFaultText } from '../text/format-faults.ts';
import type { Cv } from '../vision/cv.ts';
import type { Alteration, Seen } from './altered/alterations.ts';
import { BIN_ALTERATIONS } from './altered/bin-alterations.ts';
import { binCounts, binFailed, binLine, binTable, type BinCounts } from './altered/bin-outcome.ts';
import { readBinTruth, type BinTruth } from './altered/bin-truth.ts';
import { decodedPixels, exifOf } from './altered/encode.ts';
import { EXIT, type Command } from './command.ts';
import { decodePicture } from './decode.ts';
import { loadCv } from './opencv-node.ts';

const HELP = `usage: npm run bench -- bin-altered FOLDER... [--only=NAME;...] [--dice]

Sorts rendered bins, and sets of one die as bins, as they are and as life alters them, and holds the verdicts against truth.json.
A row per bin and alteration, then a table; --dice tells each die that is not as it should be.
Exit code 1 where a die was not found, a thing was invented, or a good die was rejected.
`;

type Bytes = Uint8Array<ArrayBuffer>;

/** A bin as its folder holds it, with the outlines of what its unaltered photos show, [u, v] per point, px. */
export interface BinSet {
  readonly folder: string;
  readonly job: BinJob;
  readonly truth: BinTruth;
  readonly photos: readonly {
    readonly name: string;
    readonly file: Bytes;
    readonly outlines: readonly Float64Array[];
  }[];
}

/** Reads a bin; a folder of one die in several photos is read as a bin of that kind. */
export async function readBinSet(cv: Cv, folder: string): Promise<BinSet> {
  const raw = JSON.parse(await readFile(join(folder, 'job.json'), 'utf8')) as Record<string, unknown>;
  const shots = raw['shots'] as readonly { readonly photo: string }[] | undefined;
  const parsed = parseBinJob(shots ? { die: raw['die'], photos: shots.map((s) => s.photo) } : raw);
  if (!parsed.ok) throw new Error(`${folder}: ${formatFaultText(parsed.error, 'en')}`);
  const { job, photos: names } = parsed.value;
  const bin = createBin(cv, job);
  const photos: BinSet['photos'][number][] = [];
  for (const name of names!) {
    const file = new Uint8Array(await readFile(join(folder, name)));
    const seen = await addBinFile(bin, name, file, decodePicture);
    photos.push({ name, file, outlines: fromMiddle(seen) });
  }
  return { folder, job, photos, truth: await readBinTruth(folder, names!) };
}

/** Outlines of measured dice, the one nearest to the photo's middle first. */
function fromMiddle({ dice, width, height }: BinPhoto): Float64Array[] {
  const far = ({ outline }: BinDie): number => {
    const [u, v] = [0, 1].map(
      (c) => outline.filter((_, i) => i % 2 === c).reduce((s, x) => s + x, 0) / (outline.length / 2),
    );
    return Math.hypot(u! - width / 2, v! - height / 2);
  };
  const found = dice.filter((d) => d.size !== null);
  return found.sort((a, b) => far(a) - far(b)).map((d) => Float64Array.from(d.outline));
}

/** Alters, writes and sorts a bin as the command line sorts files. */
export async function binAltered(
  cv: Cv,
  { job, photos }: BinSet,
  { picture, write }: Alteration,
): Promise<readonly BinPhoto[]> {
  const bin = createBin(cv, job);
  for (const [k, { name, file, outlines }] of photos.entries()) {
    let bytes = file;
    if (picture && write) {
      // Each photo's mark lies beside another die.
      const seen: Seen = { k, outline: outlines[k % outlines.length] ?? new Float64Array(0), all: outlines };
      bytes = new Uint8Array(await write(await picture(await decodedPixels(file), seen), exifOf(file)));
    }
    await addBinFile(bin, name, bytes, decodePicture);
  }
  return bin.finish().photos;
}

/** Dice and things of a bin, for finding what went wrong. */
const told = (photos: readonly BinPhoto[]): string =>
  photos
    .flatMap((p) => [
      ...(p.status === 'left-out' ? [`    ${p.photo} left out: ${p.code}`] : []),
      ...p.dice.map(
        (d) =>
          `    ${p.photo} (${d.x.toFixed(1)}, ${d.y.toFixed(1)}) ${d.verdict} seen ${d.seen} ${d.size ? `size ${d.size.value} radius ${d.radius!.value} departs ${d.departure!.value}` : ''} ${d.reasons.map((r) => `${r.code} ${r.seen ?? ''}`).join('; ')}`,
      ),
    ])
    .join('\n');

export const run: Command = async (args) => {
  const only = args
    .find((a) => a.startsWith('--only='))
    ?.slice(7)
    .split(';');
  const folders = args.filter((a) => !a.startsWith('--'));
  const chosen = BIN_ALTERATIONS.filter((a) => !only || only.includes(a.name));
  if (folders.length === 0 || chosen.length === 0) {
    process.stderr.write(HELP);
    return EXIT.usage;
  }
  const cv = await loadCv();
  const rows: { name: string; counts: BinCounts }[] = [];
  for (const folder of folders) {
    const set = await readBinSet(cv, folder);
    for (const alteration of chosen) {
      const photos = await binAltered(cv, set, alteration);
      const counts = binCounts(photos, set.truth);
      rows.push({ name: alteration.name, counts });
      process.stdout.write(`${basename(folder).padEnd(12)} ${alteration.name.padEnd(30)} ${binLine(counts)}\n`);
      if (args.includes('--dice')) process.stdout.write(`${told(photos)}\n`);
    }
  }
  process.stdout.write(`\n${binTable(rows)}\n`);
  return rows.some((r) => binFailed(r.counts)) ? 1 : EXIT.done;
};
