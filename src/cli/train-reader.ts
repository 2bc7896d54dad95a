import { writeFile } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { founts } from '../../config/reader/founts.ts';
import { Samples } from '../../config/reader/samples.ts';
import { taught } from '../../config/reader/teach.ts';
import { CLASSES } from '../faces/reader/classes.ts';
import { classLogs } from '../faces/reader/forward.ts';
import { PATCH_VALUES } from '../faces/reader/net.ts';
import { packedLayers, unpackedLayers, type WeightsFile } from '../faces/reader/weights.ts';
import { seededRandom } from '../maths/random.ts';
import { EXIT } from './command.ts';

/** Effort of a training; the defaults, and the only place that states them. */
export const EFFORT = { steps: 18000, held: 4000, at: 40 } as const;

const OUT = 'src/faces/reader/weights.json';
const usage = `usage: npm run -s evencast -- train-reader [--seed S] [--steps N] [--out FILE]
Draws faces with numbers, pips and signs in founts with free licences, trains the reader's net on them, and writes it (${OUT} where left out).
The same seed gives the same file. Takes about 35 minutes of one core.
`;

/** Trains the reader from nothing and says how it does on founts that it was not trained on. */
export async function run(args: readonly string[]): Promise<number> {
  const { values } = parseArgs({
    args: [...args],
    options: {
      seed: { type: 'string', default: '1' },
      steps: { type: 'string', default: String(EFFORT.steps) },
      out: { type: 'string', default: OUT },
      help: { type: 'boolean', short: 'h', default: false },
    },
  });
  if (values.help) {
    process.stdout.write(usage);
    return EXIT.done;
  }
  const seed = Number(values.seed);
  const steps = Number(values.steps);
  if (!Number.isInteger(seed) || !Number.isInteger(steps) || steps < 1) {
    process.stderr.write(usage);
    return EXIT.usage;
  }
  const pupil = taught(seed, steps, founts('train'), undefined, ({ step, loss, right }) => {
    process.stderr.write(`${step} of ${steps}: loss ${loss.toFixed(4)}, right ${(100 * right).toFixed(2)} %\n`);
  });
  const layers = packedLayers(pupil.layers);
  const file: WeightsFile = { seed, temperature: temperature({ seed, temperature: 1, layers }), layers };
  await writeFile(values.out, `${JSON.stringify(file)}\n`);
  process.stderr.write(`${values.out}: temperature ${file.temperature}\n`);
  return EXIT.done;
}

/** What log-probabilities are divided by so that founts not trained on are told with the chance of being right that is stated. */
function temperature(file: WeightsFile): number {
  const layers = unpackedLayers(file);
  const patches = new Float32Array(EFFORT.held * PATCH_VALUES);
  const classes = new Uint8Array(EFFORT.held);
  new Samples(seededRandom(file.seed + 1), founts('tune'), EFFORT.held / 2).batch(patches, classes);
  const size = EFFORT.at * PATCH_VALUES;
  const logs = Array.from({ length: EFFORT.held / EFFORT.at }, (_, k) =>
    classLogs(layers, patches.subarray(k * size, (k + 1) * size)),
  ).flat();
  const loss = (t: number): number =>
    logs.reduce((sum, l, k) => sum + Math.log(l.reduce((s, v) => s + Math.exp(v / t), 0)) - l[classes[k]!]! / t, 0) /
    logs.length;
  const right = logs.filter((l, k) => l.indexOf(Math.max(...l)) === classes[k]).length / logs.length;
  let best = 1;
  for (let t = 0.6; t < 4; t *= 1.02) if (loss(t) < loss(best)) best = t;
  process.stderr.write(
    `founts not trained on, ${CLASSES.length} classes: right ${(100 * right).toFixed(2)} %, loss ${loss(1).toFixed(4)} at 1, ${loss(best).toFixed(4)} at ${best.toFixed(2)}\n`,
  );
  return Number(best.toFixed(3));
}
