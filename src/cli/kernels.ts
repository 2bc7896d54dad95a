import { readFile, writeFile } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import type { DieShape } from '../bias/die-shape.ts';
import { trueShape } from '../bias/die-shape.ts';
import { fitFlaws, outcomes } from '../bias/flaw-fit.ts';
import { unevenDice } from '../bias/kernel-design.ts';
import { centredLogs, fitKernels, type Observation } from '../bias/kernel-fit.ts';
import { kernelReading, radiusShare, type HeldOut, type KernelFile, type KindKernels } from '../bias/kernel.ts';
import { TABLE_NAMES, type TableName } from '../bias/tables.ts';
import { throwBody } from '../bias/throw-body.ts';
import { tallyOf } from '../bias/throw-blocks.ts';
import { DIE_KINDS, type DieKind } from '../geometry/solid.ts';
import { EXIT } from './command.ts';

/**
 * Throws behind a kernel file; the defaults, and the only place that states them. The file repeats them. With twice the throws per die a d20's
 * chances are predicted no better by a thousandth: what is left is the kernel's form.
 */
export const EFFORT = {
  /** Uneven dice per kind, in opposite pairs; each is thrown on every table. */
  pairs: 80,
  throwsPerDie: 10_000,
  /** Throws with and without each flaw. */
  flaw: 80_000,
  /** Dice per kind that are predicted without having been fitted, and their throws, on the tables in turn. */
  heldOutDice: 12,
  heldOutThrows: 300_000,
} as const;

const OUT = 'src/bias/kernels.json';
const usage = `usage: npm run -s evencast -- kernels [--seed S] [--kinds d6,d20] [--out FILE]
Throws uneven dice of each kind, fits the kernels that predict rolls at once, and writes them (${OUT} where left out).
Takes about 50 minutes of one core for all kinds; a kind is written as soon as it is done, the others are kept.
`;

/** Makes every kernel from scratch and says how well it fits and predicts. */
export async function run(args: readonly string[]): Promise<number> {
  let seed: number, kinds: DieKind[], out: string; // prettier-ignore
  try {
    const { values } = parseArgs({
      args: [...args],
      options: {
        seed: { type: 'string', default: '1' },
        kinds: { type: 'string', default: DIE_KINDS.join(',') },
        out: { type: 'string', default: OUT },
        help: { type: 'boolean', short: 'h', default: false },
      },
    });
    if (values.help) {
      process.stdout.write(usage);
      return EXIT.done;
    }
    seed = Number(values.seed);
    kinds = values.kinds.split(',') as DieKind[];
    out = values.out;
    if (!Number.isInteger(seed)) throw new Error(`--seed ${values.seed}: a whole number needed`);
    const strange = kinds.find((k) => !DIE_KINDS.includes(k));
    if (strange !== undefined) throw new Error(`--kinds ${strange}: ${DIE_KINDS.join(', ')} needed`);
  } catch (error) {
    process.stderr.write(`evencast kernels: ${(error as Error).message}\n${usage}`);
    return EXIT.usage;
  }
  let file = await existing(out, seed);
  for (const kind of kinds) {
    const made = makeKind(kind, seed);
    file = { ...file, kinds: { ...file.kinds, [kind]: made } };
    const check = heldOut(kind, seed, file);
    file = { ...file, kinds: { ...file.kinds, [kind]: { ...made, heldOut: check } } };
    await writeFile(out, `${JSON.stringify(file, rounded, 1)}\n`);
    const percent = (x: number): string => `${(100 * x).toFixed(2)} %`;
    process.stdout.write(
      `${kind}: unevenness of dice not fitted ${percent(check.unevenness)}, error ${percent(check.error)}, at most ${percent(check.atMost)}\n`,
    );
  }
  return EXIT.done;
}

const rounded = (_key: string, value: unknown): unknown =>
  typeof value === 'number' ? Number(value.toPrecision(6)) : value;

async function existing(out: string, seed: number): Promise<KernelFile> {
  const empty: KernelFile = { format: 'evencast-kernels/1', seed, effort: EFFORT, kinds: {} };
  try {
    const file = JSON.parse(await readFile(out, 'utf8')) as KernelFile;
    return file.seed === seed && JSON.stringify(file.effort) === JSON.stringify(EFFORT) ? file : empty;
  } catch {
    return empty;
  }
}

function makeKind(kind: DieKind, seed: number): KindKernels {
  const dice = unevenDice(kind, EFFORT.pairs, seed, 1);
  const data = Object.fromEntries(
    TABLE_NAMES.map((table, t) => [
      table,
      dice.map((shape, i) => observation(shape, table, seed + 1000 * (t + 1) + i, EFFORT.throwsPerDie)),
    ]),
  );
  const reference = radiusShare(trueShape(kind));
  const fits = fitKernels(data, reference);
  for (const [table, { rms, noise }] of Object.entries(fits))
    process.stdout.write(
      `${kind} ${table}: ${dice.length} dice, residual of ln p ${(100 * rms).toFixed(2)} %, of which chance ${(100 * noise).toFixed(2)} %\n`,
    );
  const thrown = outcomes(seed + 7);
  return {
    radius: reference,
    kernels: Object.fromEntries(Object.entries(fits).map(([t, f]) => [t, f.kernel])) as KindKernels['kernels'],
    flaws: Object.fromEntries(
      TABLE_NAMES.map((t) => [t, fitFlaws(kind, t, EFFORT.flaw, thrown)]),
    ) as KindKernels['flaws'],
    heldOut: { error: NaN, atMost: NaN, unevenness: NaN },
  };
}

function observation(shape: DieShape, table: TableName, seed: number, throws: number): Observation {
  const body = throwBody(shape);
  if (!body.ok) throw new Error(`the design holds an impossible ${shape.kind}: ${body.error.code}`);
  return { shape, counts: tallyOf(body.value, table, seed, 0, throws).counts };
}

/** Error of ln p on dice as they are met, not fitted, with the chance of their throws taken out. */
function heldOut(kind: DieKind, seed: number, file: KernelFile): HeldOut {
  const dice = unevenDice(kind, EFFORT.heldOutDice, seed + 500_000, 0.5).filter((_, i) => i % 2 === 0);
  let [squares, effects, count] = [0, 0, 0];
  dice.forEach((shape, i) => {
    const table = TABLE_NAMES[i % TABLE_NAMES.length];
    const { counts } = observation(shape, table, seed + 900_000 + i, EFFORT.heldOutThrows);
    const predicted = centredLogs(kernelReading(shape, table, file).p);
    centredLogs(counts).forEach((l, f) => {
      squares += (l - predicted[f]) ** 2;
      effects += predicted[f] ** 2;
      count++;
    });
  });
  const free = trueShape(kind).labels.length - 1;
  const chance = free / EFFORT.heldOutThrows;
  const square = Math.max(0, squares / count - chance);
  // Variance of the mean square of (error + chance) over all that is free to vary.
  const doubt = Math.sqrt((2 * chance ** 2 + 4 * chance * square) / (free * dice.length));
  return {
    error: Math.sqrt(square),
    atMost: Math.sqrt(square + 2 * doubt),
    unevenness: Math.sqrt(effects / count),
  };
}
