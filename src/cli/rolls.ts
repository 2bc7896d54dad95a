import { readFile } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { kernelPrediction, throwsPrediction, chances, looksEven, type Prediction } from '../bias/prediction.ts';
import type { TableChoice } from '../bias/kernel.ts';
import { advantage, meanRoll, rollsToNotice, unevenness } from '../bias/meaning.ts';
import { BEYOND_TEXT, faultText } from '../bias/messages.ts';
import { sentences } from '../bias/sentences.ts';
import { readShape, type ReadShape } from '../bias/shape-record.ts';
import { TABLE_NAMES } from '../bias/tables.ts';
import { throwBody } from '../bias/throw-body.ts';
import { runThrows, THROW_PLAN, tumbling, type ThrowPlan, type Tumbling } from '../bias/throw-run.ts';
import type { Tally } from '../bias/throw-blocks.ts';
import { sharpened } from '../bias/what-if.ts';
import { EXIT } from './command.ts';
import { throwPool } from './throw-pool.ts';

/** Throws where the kernel may not be used and none were asked for. */
const FALLBACK_THROWS = 400_000;
/** Throws of the die and of a sharp one of its size for the comparison of how they tumble. */
const TUMBLE_THROWS = 40_000;

const usage = `usage: npm run -s evencast -- rolls SHAPE.json [--table TABLE] [--throws N] [--seed S] [--json]
  SHAPE.json  what "measure --json" prints; die.kind, faces[].name and .distance, corners[].name and .radius suffice
  --table     ${TABLE_NAMES.join(', ')} or unknown: the mean of all (where left out)
  --throws    throw the shape so often instead of taking the kernel; all cores, same seed same result
  --seed      of the throws, a whole number; ${THROW_PLAN.seed} where left out
Tells how unevenly the die will roll. Not for gaming for money: no certificate, and no judgement of a single roll.
`;

interface Options {
  readonly file: string;
  readonly table: TableChoice;
  readonly throws: number | null;
  readonly seed: number;
  readonly json: boolean;
}

/** Predicts a measured die's rolls. */
export async function run(args: readonly string[]): Promise<number> {
  if (args.includes('--help') || args.includes('-h')) {
    process.stdout.write(usage);
    return EXIT.done;
  }
  const options = read(args);
  if (typeof options === 'string') {
    process.stderr.write(`evencast rolls: ${options}\n${usage}`);
    return EXIT.usage;
  }
  const shape = await shapeFrom(options.file);
  if (typeof shape === 'string') {
    if (options.json)
      process.stdout.write(`${JSON.stringify({ format: 'evencast-rolls/1', error: { message: shape } })}\n`);
    process.stderr.write(`evencast rolls: ${shape}\n`);
    return EXIT.notMeasurable;
  }
  const prediction = await predicted(shape, options);
  const text = options.json
    ? `${JSON.stringify(record(prediction.prediction, prediction.tumbling, options), null, 2)}\n`
    : plainText(shape, prediction.prediction, prediction.tumbling);
  process.stdout.write(text);
  return EXIT.done;
}

function read(args: readonly string[]): Options | string {
  try {
    const { values, positionals } = parseArgs({
      args: [...args],
      allowPositionals: true,
      options: {
        table: { type: 'string', default: 'unknown' },
        throws: { type: 'string' },
        seed: { type: 'string', default: String(THROW_PLAN.seed) },
        json: { type: 'boolean', default: false },
      },
    });
    if (positionals.length !== 1) return `${positionals.length} files given, 1 needed`;
    if (values.table !== 'unknown' && !(TABLE_NAMES as readonly string[]).includes(values.table))
      return `--table ${values.table}: ${TABLE_NAMES.join(', ')} or unknown needed`;
    const whole = (name: string, text: string, least: number): number => {
      const n = Number(text);
      if (!Number.isInteger(n) || n < least || n > 2 ** 31 - 1)
        throw new Error(`--${name} ${text}: a whole number from ${least} needed`);
      return n;
    };
    return {
      file: positionals[0],
      table: values.table as TableChoice,
      throws: values.throws === undefined ? null : whole('throws', values.throws, 1),
      seed: whole('seed', values.seed, 0),
      json: values.json,
    };
  } catch (error) {
    return (error as Error).message;
  }
}

/** The shape in a file, or what is wrong with it. */
async function shapeFrom(file: string): Promise<ReadShape | string> {
  let json: unknown;
  try {
    json = JSON.parse(await readFile(file, 'utf8'));
  } catch (error) {
    return `${file}: ${(error as Error).message}`;
  }
  const shape = readShape(json);
  return shape.ok ? shape.value : faultText(shape.error);
}

interface Predicted {
  readonly prediction: Prediction;
  /** The die and a sharp one of its size; null without throws. */
  readonly tumbling: readonly [Tumbling, Tumbling] | null;
}

async function predicted(shape: ReadShape, { table, throws, seed }: Options): Promise<Predicted> {
  const kernel = checked(kernelPrediction(shape, table));
  if (throws === null && kernel.beyond.length === 0) return { prediction: kernel, tumbling: null };
  const plan: ThrowPlan = { table, seed, throws: throws ?? FALLBACK_THROWS, precision: null };
  const pool = throwPool();
  try {
    const thrown = async (s: ReadShape['shape'], count: number): Promise<Tally> =>
      checked(await runThrows(checked(throwBody(s)), { ...plan, throws: count }, pool.throwers));
    const tally = await thrown(shape.shape, plan.throws);
    const sharp = await thrown(sharpened(shape.shape), Math.min(plan.throws, TUMBLE_THROWS));
    return { prediction: checked(throwsPrediction(shape, table, tally)), tumbling: [tumbling(tally), tumbling(sharp)] };
  } finally {
    await pool.close();
  }
}

/** The value of something that was checked before; its failure is a bug. */
function checked<T>(
  result: { readonly ok: true; readonly value: T } | { readonly ok: false; readonly error: { readonly code: string } },
): T {
  if (!result.ok) throw new Error(JSON.stringify(result.error));
  return result.value;
}

const round = (x: number): number => Number(x.toPrecision(6));

function record(prediction: Prediction, tumble: Predicted['tumbling'], { seed }: Options): unknown {
  const k = prediction.p.length;
  const u = (part: Float64Array): number[] => prediction.names.map((_, i) => round(Math.sqrt(part[i * (k + 1)])));
  const interval = (i: { value: number; low: number; high: number } | null): unknown =>
    i && { value: round(i.value), low: round(i.low), high: Number.isFinite(i.high) ? round(i.high) : null };
  const mean = meanRoll(prediction);
  return {
    format: 'evencast-rolls/1',
    method: prediction.method,
    table: prediction.table,
    faces: chances(prediction).map(({ value, low, high }, i) => ({
      name: prediction.names[i],
      p: round(value),
      low: round(low),
      high: round(high),
    })),
    meanRoll: mean && { value: round(mean.value), low: round(mean.low), high: round(mean.high), even: mean.even },
    advantagePer100: interval(advantage(prediction)),
    unevenness: interval(unevenness(prediction)),
    rollsToNotice: interval(rollsToNotice(prediction)),
    looksEven: looksEven(prediction),
    uncertainty: {
      of: 'ln p, one standard deviation',
      measured: u(prediction.measured),
      model: u(prediction.model),
      sampling: u(prediction.sampling),
    },
    ...(prediction.throws > 0 ? { throws: prediction.throws, seed } : {}),
    ...(tumble
      ? {
          tumbling: {
            time: round(tumble[0].time),
            path: round(tumble[0].path),
            sharp: { time: round(tumble[1].time), path: round(tumble[1].path) },
          },
        }
      : {}),
    ...(prediction.beyond.length > 0 ? { kernelBeyond: prediction.beyond } : {}),
    sentences: sentences(prediction),
  };
}

function plainText(shape: ReadShape, prediction: Prediction, tumble: Predicted['tumbling']): string {
  const percent = (x: number): string => `${(100 * x).toFixed(2)} %`.padStart(8);
  const lines = [
    prediction.method === 'throws'
      ? `${prediction.throws} throws on ${tableText(prediction)}`
      : `At once, by the kernel, on ${tableText(prediction)}`,
    ...(prediction.beyond.length > 0
      ? [
          `The kernel does not serve this die: ${prediction.beyond.map((b) => BEYOND_TEXT[b]).join('; ')}. It was thrown instead.`,
        ]
      : []),
    'number  chance    95 % interval',
    ...chances(prediction).map(
      ({ value, low, high }, i) =>
        `${prediction.names[i].padStart(6)}${percent(value)}  ${percent(low)} to ${percent(high)}`,
    ),
    ...sentences(prediction),
    ...(tumble ? [tumbleText(tumble)] : []),
    ...(shape.notes.includes('no-uncertainty')
      ? ["The file states no uncertainty of the shape: the intervals hold the model's doubt alone."]
      : []),
    ...(shape.notes.includes('no-corners') ? ['The file states no corners: their usual radius was taken.'] : []),
  ];
  return `${lines.join('\n')}\n`;
}

const tableText = ({ table }: Prediction): string =>
  table === 'unknown' ? `an unknown table (the mean of ${TABLE_NAMES.join(', ')})` : table;

const tumbleText = ([own, sharp]: readonly [Tumbling, Tumbling]): string =>
  `After its first touch it tumbles ${own.time.toFixed(2)} s and ${(own.path / 10).toFixed(0)} cm until the outcome is decided; a sharp die of its size ${sharp.time.toFixed(2)} s and ${(sharp.path / 10).toFixed(0)} cm.`;
