import { readFile, writeFile } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import type { DieShape } from '../bias/die/die-shape.ts';
import { trueShape } from '../bias/die/die-shape.ts';
import { fitFlaws, outcomes } from '../bias/kernel/flaw-fit.ts';
import { unevenDice } from '../bias/kernel/kernel-design.ts';
import { centredLogs, fitKernels, type Observation } from '../bias/kernel/kernel-fit.ts';
import { kernelReading, radiusShare, type HeldOut, type KernelFile, type KindKernels } from '../bias/kernel/kernel.ts';
import { TABLE_NAMES, type TableName } from '../bias/throws/tables.ts';
import { throwBody, type ThrowBody } from '../bias/throws/throw-body.ts';
import { tallyOf } from '../bias/throws/throw-blocks.ts';
import { DIE_KINDS, type DieKind } from '../geometry/solid.ts';
import { EXIT } from './command.ts';

/**
 * Throws behind a kernel file; the defaults, and the only place that states them. The file repeats them. With twice the throws per die a d20's
 * chances are predicted no better by a thousandth: what is left is the kernel's form.
 */
export const EFFORT = {
  /** Uneven dice per kind, in opposite pairs; each is thrown on every table. */
  pairs: 80,
  throwsPerDie: { d4: 10_000, d6: 20_000, d8: 10_000, d10: 10_000, d12: 10_000, d20: 20_000 },
  /** Throws with and without each flaw. */
  flaw: 80_000,
  /** Dice per kind that are predicted without having been fitted, on the tables in turn, and the throws of each. */
  heldOutDice: 12,
  heldOutThrows: 300_000,
} as const;

const OUT = 'src/bias/kernel/kernels.json';
const usage = `usage: npm run -s evencast -- kernels [--seed S] [--kinds d6,d20] [--out FILE] [--check]
Throws uneven dice of each kind, fits the kernels that predict rolls at once, and writes them (${OUT} where left out).
Takes about 50 minutes of one core for all kinds; a kind is written as soon as it is done, the others are kept.
  --check  fits nothing: throws the dice that were not fitted, and states the errors anew
`;

/** Makes every kernel from scratch and says how well it fits and predicts. */
export async function run(args: readonly string[]): Promise<number> {
  let seed: number, kinds: DieKind[], out: string, only: boolean;
  try {
    const { values } = parseArgs({
      args: [...args],
      options: {
        seed: { type: 'string', default: '1' },
        kinds: { type: 'string', default: DIE_KINDS.join(',') },
        out: { type: 'string', default: OUT },
        check: { type: 'boolean', default: false },
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
    only = values.check;
    if (!Number.isInteger(seed)) throw new Error(`--seed ${values.seed}: a whole number needed`);
    const strange = kinds.find((k) => !DIE_KINDS.includes(k));
    if (strange !== undefined) throw new Error(`--kinds ${strange}: ${DIE_KINDS.join(', ')} needed`);
  } catch (error) {
    process.stderr.write(`evencast kernels: ${(error as Error).message}\n${usage}`);
    return EXIT.usage;
  }
  let file = await existing(out, seed);
  for (const kind of kinds) {
    const kept = only ? file.kinds[kind] : undefined;
    if (only && !kept) {
      process.stderr.write(`evencast kernels: ${out} holds no ${kind} fitted with seed ${seed} and this many throws\n`);
      return EXIT.usage;
    }
    const made = kept ?? makeKind(kind, seed);
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
    const fits = ({ pairs, throwsPerDie, flaw }: KernelFile['effort']): string =>
      JSON.stringify([pairs, throwsPerDie, flaw]);
    return file.seed === seed && fits(file.effort) === fits(EFFORT) ? { ...file, effort: EFFORT } : empty;
  } catch {
    return empty;
  }
}

function makeKind(kind: DieKind, seed: number): KindKernels {
  const dice = unevenDice(kind, EFFORT.pairs, seed, 1);
  const data = Object.fromEntries(
    TABLE_NAMES.map((table, t) => [
      table,
      dice.map((shape, i) => observation(shape, table, seed + 1000 * (t + 1) + i, EFFORT.throwsPerDie[kind])),
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

function bodyOf(shape: DieShape): ThrowBody {
  const body = throwBody(shape);
  if (!body.ok) throw new Error(`the design holds an impossible ${shape.kind}: ${body.error.code}`);
  return body.value;
}

const observation = (shape: DieShape, table: TableName, seed: number, throws: number): Observation => ({
  shape,
  counts: tallyOf(bodyOf(shape), table, seed, 0, throws).counts,
});

/** Error of ln p on dice as they are met, not fitted. */
function heldOut(kind: DieKind, seed: number, file: KernelFile): HeldOut {
  const dice = unevenDice(kind, EFFORT.heldOutDice, seed + 500_000, 0.5).filter((_, i) => i % 2 === 0);
  const tried = dice.map((shape, i) => {
    const table = TABLE_NAMES[i % TABLE_NAMES.length];
    const { counts } = observation(shape, table, seed + 900_000 + i, EFFORT.heldOutThrows);
    return { said: centredLogs(kernelReading(shape, table, file).p), counts };
  });
  const { square, doubt, unevenness } = misses(tried, EFFORT.heldOutThrows);
  return {
    error: Math.sqrt(Math.max(square, doubt)),
    atMost: Math.sqrt(Math.max(0, square) + 2 * doubt),
    unevenness,
  };
}

/** Mean square of ln p seen less said without what chance makes of it, and that chance's standard deviation. */
function misses(
  tried: readonly { readonly said: Float64Array; readonly counts: ArrayLike<number> }[],
  throws: number,
): { readonly square: number; readonly doubt: number; readonly unevenness: number } {
  let [squares, effects, count] = [0, 0, 0];
  for (const { said, counts } of tried)
    centredLogs(counts).forEach((l, f) => {
      squares += (l - said[f]) ** 2;
      effects += said[f] ** 2;
      count++;
    });
  const free = count / tried.length - 1;
  const chance = free / throws;
  const square = squares / count - chance;
  const doubt = Math.sqrt((2 * chance ** 2 + 4 * chance * Math.max(0, square)) / (free * tried.length));
  return { square, doubt, unevenness: Math.sqrt(effects / count) };
}
