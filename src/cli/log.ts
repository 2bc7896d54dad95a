import { parseArgs } from 'node:util';
import { analyseLog, type LogAnalysis } from '../bias/log/log-analysis.ts';
import { logSentences } from '../bias/log/log-sentences.ts';
import { faultText } from '../bias/messages.ts';
import type { Prediction } from '../bias/meaning/prediction.ts';
import type { TableChoice } from '../bias/kernel/kernel.ts';
import { LOG_DICE, readLog, type RollLog } from '../bias/log/roll-log.ts';
import { TABLE_NAMES } from '../bias/throws/tables.ts';
import { EXIT } from './command.ts';
import { fileText, stdinText } from './files.ts';
import { print, printJson, say } from './streams.ts';
import { predicted, shapeFrom } from './predicted.ts';

const usage = `usage: npm run -s evencast -- log FILE [--die DIE] [--shape SHAPE.json] [--table TABLE] [--seed S] [--json]
  FILE     rolls in order (3 17 20 ...) or counts, one line each (20: 13); "-" reads them from stdin; "#" begins a remark
  --die    ${LOG_DICE.join(', ')}; guessed from the numbers where left out
  --shape  a measuring result: is the log what this shape predicts?
  --table  for --shape: ${TABLE_NAMES.join(', ')} or unknown (where left out)
Tests a log of rolls. A short log proves little.
`;

interface Options {
  readonly file: string;
  readonly die: string | null;
  readonly shape: string | null;
  readonly table: TableChoice;
  readonly seed: number;
  readonly json: boolean;
}

/** Tests a log of rolls. */
export async function run(args: readonly string[]): Promise<number> {
  if (args.includes('--help') || args.includes('-h')) {
    print(usage);
    return EXIT.done;
  }
  const options = read(args);
  if (typeof options === 'string') {
    say(`evencast log: ${options}\n${usage}`);
    return EXIT.usage;
  }
  const failed = (message: string): number => {
    if (options.json) printJson(`${JSON.stringify({ format: 'evencast-log/1', error: { message } })}\n`);
    say(`evencast log: ${message}\n`);
    return EXIT.notMeasurable;
  };
  const file = options.file === '-' ? await stdinText() : await fileText(options.file, true);
  if (!file.ok) return failed(file.error);
  const text = file.value;
  let prediction: Prediction | null;
  try {
    prediction = options.shape === null ? null : await predictionOf(options.shape, options.table, options.seed);
  } catch (error) {
    return failed((error as Error).message);
  }
  const log = readLog(text, options.die ?? prediction?.names ?? null);
  if (!log.ok) return failed(faultText(log.error));
  if (prediction && prediction.names.join() !== log.value.names.join())
    return failed(
      `the shape has the numbers ${prediction.names.join(' ')}, the log's die ${log.value.names.join(' ')}`,
    );
  const analysis = analyseLog(log.value, options.seed, prediction);
  if (options.json) printJson(`${JSON.stringify(record(log.value, analysis), null, 2)}\n`);
  else print(plainText(log.value, analysis));
  return EXIT.done;
}

function read(args: readonly string[]): Options | string {
  try {
    const { values, positionals } = parseArgs({
      args: [...args],
      allowPositionals: true,
      options: {
        die: { type: 'string' },
        shape: { type: 'string' },
        table: { type: 'string', default: 'unknown' },
        seed: { type: 'string', default: '1' },
        json: { type: 'boolean', default: false },
      },
    });
    if (positionals.length !== 1) return `${positionals.length} files given, 1 needed`;
    if (values.die !== undefined && !(LOG_DICE as readonly string[]).includes(values.die))
      return `--die ${values.die}: ${LOG_DICE.join(', ')} needed`;
    if (values.table !== 'unknown' && !(TABLE_NAMES as readonly string[]).includes(values.table))
      return `--table ${values.table}: ${TABLE_NAMES.join(', ')} or unknown needed`;
    if (!/^\d{1,9}$/.test(values.seed)) return `--seed ${values.seed}: a whole number needed`;
    return {
      file: positionals[0],
      die: values.die ?? null,
      shape: values.shape ?? null,
      table: values.table as TableChoice,
      seed: Number(values.seed),
      json: values.json,
    };
  } catch (error) {
    return (error as Error).message;
  }
}

async function predictionOf(file: string, table: TableChoice, seed: number): Promise<Prediction> {
  const shape = await shapeFrom(file);
  if (typeof shape === 'string') throw new Error(`${file}: ${shape}`);
  return (await predicted(shape, { table, throws: null, precision: null, seed })).prediction;
}

const rounded = (_key: string, value: unknown): unknown =>
  typeof value === 'number'
    ? Number.isFinite(value)
      ? Number(value.toPrecision(6))
      : null
    : ArrayBuffer.isView(value)
      ? Array.from(value as Float64Array)
      : value;

function record(log: RollLog, analysis: LogAnalysis): unknown {
  const { evidence, counted, joint, ...tests } = analysis;
  const whole = {
    format: 'evencast-log/1',
    rolls: log.rolls,
    guessedDie: log.guessed !== null,
    ...(log.guessed ? { guess: log.guessed } : {}),
    faces: log.names.map((name, i) => ({
      name,
      count: log.counts[i],
      p: counted[i].value,
      low: counted[i].low,
      high: counted[i].high,
    })),
    notCounted: log.strangers,
    ...tests,
    evidence: {
      ln: evidence.last,
      ...(evidence.path
        ? {
            largestLn: evidence.path.largest,
            largestAt: evidence.path.largestAt,
            metAt: evidence.path.metAt,
            p: evidence.path.p,
          }
        : {}),
    },
    ...(joint ? { joint: { ...joint, chances: log.names.map((name, i) => ({ name, ...joint.chances[i] })) } } : {}),
    sentences: logSentences(log, analysis),
  };
  return JSON.parse(JSON.stringify(whole, rounded));
}

function plainText(log: RollLog, analysis: LogAnalysis): string {
  const percent = (x: number): string => `${(100 * x).toFixed(2)} %`.padStart(8);
  const { pearson, likelihoodRatio, exact } = analysis;
  const lines = [
    'number   count  chance    95 % interval',
    ...log.names.map((name, i) => {
      const { value, low, high } = analysis.counted[i];
      return `${name.padStart(6)}${String(log.counts[i]).padStart(8)}${percent(value)}  ${percent(low)} to ${percent(high)}`;
    }),
    `X2 ${pearson.statistic.toFixed(2)} (p ${pearson.p.toPrecision(3)}), G ${likelihoodRatio.statistic.toFixed(2)} (p ${likelihoodRatio.p.toPrecision(3)}), ${pearson.df} degrees of freedom${exact ? `, ${exact.method} p ${exact.p.toPrecision(3)}` : ''}`,
    ...logSentences(log, analysis),
  ];
  return `${lines.join('\n')}\n`;
}
