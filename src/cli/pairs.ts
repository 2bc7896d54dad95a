import { parseArgs } from 'node:util';
import { calibration, type Calibration, type Thrown } from '../bias/log/calibration.ts';
import { readLog } from '../bias/log/roll-log.ts';
import { throwingPlan } from '../bias/log/throw-plan.ts';
import { kernelPrediction } from '../bias/meaning/prediction.ts';
import { readShape } from '../bias/meaning/shape-record.ts';
import { faultText } from '../bias/messages.ts';
import { pairOf, pairsText, readPairs, type Pair } from '../formats/pairs.ts';
import { failure, success, type Result } from '../result.ts';
import { EXIT } from './command.ts';
import { fileJson, fileText } from './files.ts';
import { print, say } from './streams.ts';

const usage = `usage: npm run -s evencast -- pairs FILE... [--json]
       npm run -s evencast -- pairs --make RESULT.json ROLLS.txt [--die TEXT] [--by TEXT] [--table TEXT] [--hand TEXT] [--note TEXT] > PAIR.json
       npm run -s evencast -- pairs --plan RESULT.json
  FILE     files "evencast-pairs/1": measured shapes with the rolls of those very dice, from one person or many
  --make   writes such a file from a measuring result and a log of its rolls; shape and counts alone go into it, no photos
  --plan   how often this die must be thrown for its prediction to be put to the test, and how to throw
Pools the dice into one slope: seen unevenness over predicted. 1 where the model is right. Nothing is sent anywhere.
`;

/** Pools measured dice that were thrown; makes such pairs; plans the throwing. */
export async function run(args: readonly string[]): Promise<number> {
  if (args.includes('--help') || args.includes('-h')) {
    print(usage);
    return EXIT.done;
  }
  let values, positionals;
  const text = { type: 'string', default: '' } as const;
  const flag = { type: 'boolean', default: false } as const;
  try {
    ({ values, positionals } = parseArgs({
      args: [...args],
      allowPositionals: true,
      options: { json: flag, make: flag, plan: flag, die: text, by: text, table: text, hand: text, note: text },
    }));
  } catch (error) {
    return told((error as Error).message, EXIT.usage);
  }
  const needed = values.make ? 2 : values.plan ? 1 : null;
  if (positionals.length === 0 || (needed !== null && positionals.length !== needed))
    return told(`${positionals.length} files given, ${needed ?? '1 or more'} needed`, EXIT.usage);
  const { die, by, table, hand, note } = values;
  const out = values.make
    ? await made(positionals[0], positionals[1], { die, by, table, hand, note })
    : values.plan
      ? await planned(positionals[0])
      : await pooled(positionals, values.json);
  if (!out.ok) return told(out.error, EXIT.notMeasurable);
  print(out.value);
  return EXIT.done;
}

function told(message: string, code: number): number {
  say(`evencast pairs: ${message}\n${code === EXIT.usage ? usage : ''}`);
  return code;
}

async function made(file: string, log: string, about: Partial<Pair['about']>): Promise<Result<string, string>> {
  const json = await fileJson(file);
  if (!json.ok) return json;
  const shape = readShape(json.value);
  if (!shape.ok) return failure(`${file}: ${faultText(shape.error)}`);
  const prediction = kernelPrediction(shape.value, 'unknown');
  const text = await fileText(log);
  if (!text.ok) return text;
  const rolls = readLog(text.value, prediction.ok ? prediction.value.names : null);
  if (!rolls.ok) return failure(`${log}: ${faultText(rolls.error)}`);
  return success(pairsText([pairOf(json.value as object, rolls.value.names, rolls.value.counts, about)]));
}

async function planned(file: string): Promise<Result<string, string>> {
  const json = await fileJson(file);
  if (!json.ok) return json;
  const shape = readShape(json.value);
  const prediction = shape.ok ? kernelPrediction(shape.value, 'unknown') : shape;
  if (!prediction.ok) return failure(`${file}: ${faultText(prediction.error)}`);
  const { rolls, least, hours } = throwingPlan(prediction.value);
  const often =
    rolls === null
      ? `This die is predicted so even that nobody throws it often enough to tell${least === null ? '' : `; as uneven as its interval allows, ${least} rolls would`}. Take one that is visibly uneven.`
      : `${rolls} rolls tell this die from an even one 4 times out of 5, if the prediction holds: about ${hours!.toFixed(0)} hours by hand${least === null ? '' : `; ${least} if it is as uneven as its interval allows`}.`;
  return success(`${[often, ...HOW].map((l) => `- ${l}`).join('\n')}\n`);
}

/** How to throw, so that the rolls speak of the die. */
const HOW = [
  'Before the first throw write down how many there will be, on which table and how they are thrown; count them all.',
  'Shake the die in a cup or in both hands, throw it at least two hand spans over a hard, level table; a throw that leaves the table, leans or stops at the rim is thrown again and not counted.',
  'Read and write down each roll before the die is picked up; a tally by key, or a photo of every throw read later, makes fewer slips than memory.',
  'Change neither die, table nor hand on the way; if one must change, begin another log.',
];

async function pooled(files: readonly string[], json: boolean): Promise<Result<string, string>> {
  const pairs: { readonly pair: Pair; readonly from: string }[] = [];
  for (const file of files) {
    const parsed = await fileJson(file);
    if (!parsed.ok) return parsed;
    const read = readPairs(parsed.value);
    if (!read.ok) return failure(`${file}: no file of pairs (${read.error.at})`);
    pairs.push(...read.value.pairs.map((pair, i) => ({ pair, from: `${file}, pair ${i + 1}` })));
  }
  const thrown: Thrown[] = [];
  for (const { pair, from } of pairs) {
    const one = thrownOf(pair);
    if (!one.ok) return failure(`${from}: ${one.error}`);
    thrown.push(one.value);
  }
  const result = calibration(thrown);
  if (json) return success(`${JSON.stringify({ format: 'evencast-calibration/1', ...result }, null, 1)}\n`);
  return success(
    asText(
      result,
      pairs.map(({ pair, from }) => pair.about.die || from),
    ),
  );
}

/** A pair as the pooling takes it. */
export function thrownOf({ shape, rolls }: Pair): Result<Thrown, string> {
  const read = readShape(shape);
  const prediction = read.ok ? kernelPrediction(read.value, 'unknown') : read;
  if (!prediction.ok) return failure(faultText(prediction.error));
  const counts = prediction.value.names.map((n) => rolls.find((r) => r.name === n)?.count ?? NaN);
  return counts.every(Number.isFinite) && rolls.length === counts.length
    ? success({ prediction: prediction.value, counts })
    : failure(`its rolls are not of the numbers ${prediction.value.names.join(' ')}`);
}

function asText({ dice, throws, slope, scatter, heterogeneity }: Calibration, names: readonly string[]): string {
  const two = (x: number): string => x.toFixed(2);
  const lines = dice.map((d, i) => `${names[i]}: ${d ? `slope ${two(d.slope)} +- ${two(d.u)}` : 'too even to tell'}`);
  lines.push(
    slope === null
      ? `${throws} throws: none of these dice is uneven enough to tell the model's slope.`
      : `${dice.length} dice, ${throws} throws: slope ${two(slope.value)}, 95 % interval ${two(slope.low)} to ${two(slope.high)}; 1 where the model is right. It differs by ${two(scatter)} from die to die${heterogeneity ? ` (one slope for all: p ${heterogeneity.p.toPrecision(2)})` : ''}.`,
  );
  return `${lines.join('\n')}\n`;
}
