import { availableParallelism } from 'node:os';
import { parseArgs } from 'node:util';
import { trueShape, type DieShape } from '../bias/die/die-shape.ts';
import { unevenDice } from '../bias/kernel/kernel-design.ts';
import { TABLES } from '../bias/throws/tables.ts';
import { tallyOf } from '../bias/throws/throw-blocks.ts';
import { throwBody, type ThrowBody } from '../bias/throws/throw-body.ts';
import { runThrows, THROW_PLAN } from '../bias/throw-run.ts';
import { REPORT_DICE } from './bench-kernel.ts';
import { LONG_PARTS, runLong, type LongPart } from './bench-rolls-long.ts';
import { EXIT, type Command } from './command.ts';
import { peerThrows } from './peer-engine.ts';
import { throwPool } from './throw-pool.ts';

/** Runs of each kind, whose least time counts, and throws of one run. */
const RUNS = 15;
const THROWS = 6000;
const PEER_RUNS = 3;
const PEER_THROWS = 1000;
const POOL_RUNS = 3;
const POOL_THROWS = 120_000;
const TABLE = 'wood';

/** Throws per second of one die; of one core: per second of its processor time. */
export interface Speed {
  readonly perCore: number;
  readonly allCores: number;
  readonly cores: number;
  /** The general engine on one core, in the same run. */
  readonly peer: number;
  readonly ratio: number;
  /** One core, a die whose faces, corners and centre of mass stray: three times the balls on a d20. */
  readonly uneven: number;
}

/** Times the throws of a d6 and a d20 against a general engine on the same dice; with --long checks the model instead. */
export const run: Command = async (args) => {
  const options = read(args);
  if (typeof options === 'string') {
    process.stderr.write(`bench rolls: ${options}\n${usage}`);
    return EXIT.usage;
  }
  const { json, parts, scale, dice } = options;
  if (parts.length > 0) {
    return (await runLong(parts, scale, dice)) ? EXIT.done : EXIT.notMeasurable;
  }
  const result = { d6: await speed('d6'), d20: await speed('d20') };
  if (json) process.stdout.write(`${JSON.stringify(result, null, 2)}\n`);
  else
    for (const [kind, s] of Object.entries(result))
      process.stdout.write(
        `${kind} on ${TABLE}: ${s.perCore} throws/s per core (${s.uneven} uneven), ${s.allCores} on ${s.cores} cores; general engine ${s.peer}, ratio ${s.ratio}\n`,
      );
  return EXIT.done;
};

const usage = `usage: npm run bench -- rolls [--json]
       npm run bench -- rolls --long [--part ${LONG_PARTS.join(',')}] [--scale 0.1] [--dice N]
       throws what each bar of the model needs, and says which are met; exit code ${EXIT.notMeasurable} where one is not;
       --dice: of each kind, for reports, 1 to ${2 * REPORT_DICE}, usually ${REPORT_DICE}
`;

interface Options {
  readonly json: boolean;
  readonly parts: readonly LongPart[];
  readonly scale: number;
  readonly dice: number;
}

function read(args: readonly string[]): Options | string {
  try {
    const { values } = parseArgs({
      args: [...args],
      options: {
        json: { type: 'boolean', default: false },
        long: { type: 'boolean', default: false },
        part: { type: 'string', default: LONG_PARTS.join(',') },
        scale: { type: 'string', default: '1' },
        dice: { type: 'string', default: String(REPORT_DICE) },
      },
    });
    const parts = values.long ? (values.part.split(',') as LongPart[]) : [];
    const strange = parts.find((p) => !LONG_PARTS.includes(p));
    if (strange !== undefined) return `--part ${strange}: ${LONG_PARTS.join(', ')} needed`;
    const scale = Number(values.scale);
    if (!(scale > 0)) return `--scale ${values.scale}: a number above 0 needed`;
    const dice = Number(values.dice);
    if (!Number.isInteger(dice) || dice < 1 || dice > 2 * REPORT_DICE)
      return `--dice ${values.dice}: a whole number from 1 to ${2 * REPORT_DICE} needed`;
    return { json: values.json, parts, scale, dice };
  } catch (error) {
    return (error as Error).message;
  }
}

async function speed(kind: 'd6' | 'd20'): Promise<Speed> {
  const shape = trueShape(kind);
  const body = bodyOf(shape);
  const uneven = bodyOf(unevenDice(kind, 1, 11, 0.5)[0]);
  // In turn, so that whatever else the machine does meets all alike.
  let [own, other, peer] = [0, 0, 0];
  for (let r = 0; r < RUNS; r++) {
    own = Math.max(own, timed(body, r));
    other = Math.max(other, timed(uneven, r));
    if (r < PEER_RUNS) {
      const begun = processorTime();
      const { throws } = await peerThrows(body, shape.radii[0], TABLES[TABLE], r + 1, PEER_THROWS);
      peer = Math.max(peer, (throws * 1000) / (processorTime() - begun));
    }
  }
  const all = await pooled(body);
  return {
    perCore: Math.round(own),
    allCores: Math.round(all),
    cores: availableParallelism(),
    peer: Math.round(peer),
    ratio: Number((own / peer).toFixed(1)),
    uneven: Math.round(other),
  };
}

function bodyOf(shape: DieShape): ThrowBody {
  const body = throwBody(shape);
  if (!body.ok) throw new Error(body.error.code);
  return body.value;
}

function timed(body: ThrowBody, run: number): number {
  const begun = processorTime();
  tallyOf(body, TABLE, 1, run * THROWS, THROWS);
  return (THROWS * 1000) / (processorTime() - begun);
}

/** Of this process, ms: what else the machine does does not count in it. */
function processorTime(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

async function pooled(body: ThrowBody): Promise<number> {
  const pool = throwPool();
  let best = 0;
  try {
    for (let r = 0; r < POOL_RUNS; r++) {
      const begun = performance.now();
      await runThrows(body, { ...THROW_PLAN, table: TABLE, throws: POOL_THROWS, seed: r + 1 }, pool.throwers);
      best = Math.max(best, (POOL_THROWS * 1000) / (performance.now() - begun));
    }
  } finally {
    await pool.close();
  }
  return best;
}
