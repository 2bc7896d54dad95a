import { parseArgs } from 'node:util';
import { chances, looksEven, type Prediction } from '../bias/meaning/prediction.ts';
import type { TableChoice } from '../bias/kernel/kernel.ts';
import { advantage, meanRoll, rollsToNotice, unevenness } from '../bias/meaning/meaning.ts';
import { BEYOND_TEXT } from '../bias/messages.ts';
import { sentences } from '../bias/meaning/sentences.ts';
import type { ReadShape } from '../bias/meaning/shape-record.ts';
import { TABLE_NAMES } from '../bias/throws/tables.ts';
import { THROW_PLAN, type Tumbling } from '../bias/throw-run.ts';
import { EXIT } from './command.ts';
import { print, printJson, say } from './streams.ts';
import { predicted, shapeFrom, type Asked, type Predicted } from './predicted.ts';

const usage = `usage: npm run -s evencast -- rolls SHAPE.json [--table TABLE] [--throws N] [--precision P] [--seed S] [--json]
  SHAPE.json  what "measure --json" prints; die.kind, faces[].name and .distance, corners[].name and .radius suffice
  --table     ${TABLE_NAMES.join(', ')} or unknown: the mean of all (where left out)
  --throws    throw the shape so often instead of taking the kernel; all cores, same seed same result
  --precision stop throwing as soon as each chance is known to P % of it
  --seed      of the throws, a whole number; ${THROW_PLAN.seed} where left out
Tells how unevenly the die will roll. Not for gaming for money: no certificate, and no judgement of a single roll.
`;

interface Options extends Asked {
  readonly file: string;
  readonly json: boolean;
}

/** Predicts a measured die's rolls. */
export async function run(args: readonly string[]): Promise<number> {
  if (args.includes('--help') || args.includes('-h')) {
    print(usage);
    return EXIT.done;
  }
  const options = read(args);
  if (typeof options === 'string') {
    say(`evencast rolls: ${options}\n${usage}`);
    return EXIT.usage;
  }
  const shape = await shapeFrom(options.file);
  if (typeof shape === 'string') {
    if (options.json) printJson(`${JSON.stringify({ format: 'evencast-rolls/1', error: { message: shape } })}\n`);
    say(`evencast rolls: ${shape}\n`);
    return EXIT.notMeasurable;
  }
  const prediction = await predicted(shape, options);
  const text = options.json
    ? `${JSON.stringify(record(prediction.prediction, prediction.tumbling, options), null, 2)}\n`
    : plainText(shape, prediction.prediction, prediction.tumbling);
  if (options.json) printJson(text);
  else print(text);
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
        precision: { type: 'string' },
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
      precision: values.precision === undefined ? null : percentage(values.precision),
      seed: whole('seed', values.seed, 0),
      json: values.json,
    };
  } catch (error) {
    return (error as Error).message;
  }
}

function percentage(text: string): number {
  const share = Number(text) / 100;
  if (!(share >= 0.0005 && share <= 0.5)) throw new Error(`--precision ${text}: a number from 0.05 to 50 needed`);
  return share;
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
      tables: u(prediction.tables),
      kernel: u(prediction.kernel),
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
