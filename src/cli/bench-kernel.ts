import type { DieShape } from '../bias/die/die-shape.ts';
import { unevenDice } from '../bias/kernel/kernel-design.ts';
import { centredLogs } from '../bias/kernel/kernel-fit.ts';
import { kernelReading } from '../bias/kernel/kernel.ts';
import { NORMAL_95, rollOrder, kernelPrediction, type Prediction } from '../bias/meaning/prediction.ts';
import { recordPrediction, RECORD_PLAN, thrownRolls, toThrow } from '../bias/meaning/thrown-rolls.ts';
import { emptyTally, merged, tallyOf } from '../bias/throws/throw-blocks.ts';
import { TABLE_NAMES, type Hand, type Table } from '../bias/throws/tables.ts';
import type { ThrowBody } from '../bias/throws/throw-body.ts';
import { thrower } from '../bias/throws/throws.ts';
import { DIE_KINDS } from '../geometry/solid.ts';
import { seededNormal, seededRandom } from '../maths/random.ts';
import { bodyOf, counted, percent, say, type Verdict } from './bench-verdict.ts';
import type { ThrowPool } from './throw-pool.ts';
import { drawnWorld } from './worlds.ts';

/** Holds the kernels against throws of uneven dice that they were not fitted to. */
export async function kernel(pool: ThrowPool, throws: number): Promise<Verdict[]> {
  const out: Verdict[] = [];
  for (const kind of DIE_KINDS) {
    let [squares, effects, count, inside, chance] = [0, 0, 0, 0, 0];
    const dice = unevenDice(kind, 12, 77_000, 0.5).filter((_, i) => i % 2 === 1);
    for (const [i, shape] of dice.entries()) {
      const table = TABLE_NAMES[i % 3];
      const { counts, throws: n } = await counted(pool, shape, table, throws, 4000 + i);
      const [seen, said] = [centredLogs(counts), centredLogs(kernelReading(shape, table).p)];
      const prediction = kernelPrediction({ shape, covariance: null }, table);
      if (!prediction.ok) throw new Error(prediction.error.code);
      const k = counts.length;
      rollOrder(shape).forEach((f, r) => {
        const noise = (k - 1) / n;
        const off = seen[f] - said[f];
        squares += off * off;
        effects += said[f] ** 2;
        chance += noise;
        count++;
        if (off * off <= NORMAL_95 ** 2 * (prediction.value.covariance[r * (k + 1)] + noise)) inside++;
      });
    }
    const error = Math.sqrt(Math.max(0, squares - chance) / count);
    const tried = Math.sqrt(effects / count);
    say(
      `${kind}: unevenness ${percent(tried)}, error of ln p ${percent(error)} (chance of the throws ${percent(Math.sqrt(chance / count))} taken out), inside the 95 % interval ${percent(inside / count)}`,
    );
    out.push({
      bar: `kernel ${kind}: error ${percent(error)} at ${percent(tried)} of unevenness; needed 1 % at 2 to 6 %`,
      met: error <= 0.01 && tried >= 0.02 && tried <= 0.06,
    });
  }
  return out;
}

/** Face and corner errors of a good measurement, mm, and the part that all faces share. */
const MEASURED = { face: 0.006, shared: 0.005, corner: 0.02 } as const;

/** Dice measured with errors, on tables and by hands that are not known: does the quoted interval hold what is thrown there? */
export function worlds(throws: number): Verdict[] {
  let [all, allInside] = [0, 0];
  for (const kind of DIE_KINDS) {
    const random = seededRandom(5150);
    const normal = seededNormal(random);
    let [inside, count] = [0, 0];
    for (const shape of unevenDice(kind, 12, 88_000, 0.5).filter((_, i) => i % 2 === 0)) {
      const { table, hand } = drawnWorld(random);
      const counts = countsOf(bodyOf(shape), table, hand, throws);
      const shared = MEASURED.shared * normal();
      const read: DieShape = {
        ...shape,
        distances: shape.distances.map((d) => d + shared + MEASURED.face * normal()),
        radii: shape.radii.map((r) => Math.max(0.01, r + MEASURED.corner * normal())),
      };
      const prediction = kernelPrediction({ shape: read, covariance: errorCovariance(read) }, 'unknown');
      if (!prediction.ok) throw new Error(prediction.error.code);
      const k = counts.length;
      const [seen, said] = [centredLogs(counts), centredLogs(prediction.value.p)];
      rollOrder(read).forEach((f, r) => {
        count++;
        if ((seen[f] - said[r]) ** 2 <= NORMAL_95 ** 2 * (prediction.value.covariance[r * (k + 1)] + (k - 1) / throws))
          inside++;
      });
    }
    all += count;
    allInside += inside;
    say(`${kind}: ${percent(inside / count)} of the chances inside the 95 % interval`);
  }
  const share = allInside / all;
  return [{ bar: `95 % intervals hold ${percent(share)}; needed 90 to 99 %`, met: share >= 0.9 && share <= 0.99 }];
}

/** Dice per kind that reports are tried on. */
export const REPORT_DICE = 10;

/** Chances that were tried, and how many lay within three intervals. */
interface Held {
  readonly count: number;
  readonly stated: number;
  /** The same, the chance of the counting throws not allowed for. */
  readonly bare: number;
  readonly own: number;
}
const NONE: Held = { count: 0, stated: 0, bare: 0, own: 0 };
const added = (a: Held, b: Held): Held => ({
  count: a.count + b.count,
  stated: a.stated + b.stated,
  bare: a.bare + b.bare,
  own: a.own + b.own,
});

/**
 * What reports state of dice measured with errors, against throws of the true die on each table. Two intervals are counted: the one that is stated, which also
 * allows for what published throws of real bodies differ from the model, and the same without that (`own`), which is what throws by the model itself can try.
 * The dice of all kinds come in turn: a run that is broken off has tried all alike.
 *
 * @param throws  Of each die on each table.
 * @param dice    Of each kind, at most 2 x {@link REPORT_DICE}.
 */
export function reports(throws: number, dice = REPORT_DICE): Verdict[] {
  const kinds = DIE_KINDS.map((kind) => ({
    kind,
    normal: seededNormal(seededRandom(616)),
    shapes: unevenDice(kind, 2 * REPORT_DICE, 99_000, 0.5).filter((_, i) => i % 2 === 0),
    held: NONE,
  }));
  const told = ({ count, stated, bare, own }: Held): string =>
    `${percent(stated / count)} within the stated interval (${percent(bare / count)} with no allowance for the chance of these throws), ${percent(own / count)} without the doubt from published throws`;
  const all = (): Held => kinds.reduce((s, k) => added(s, k.held), NONE);
  for (let d = 0; d < dice; d++) {
    for (const k of kinds) k.held = added(k.held, heldBy(k.shapes[d], reported(k.shapes[d], k.normal), throws));
    say(`${d + 1} dice of each kind, ${throws} throws on each table: ${told(all())}`);
  }
  for (const { kind, held } of kinds) say(`${kind}: ${held.count} chances, ${told(held)}`);
  const share = all().stated / all().count;
  return [
    ...kinds.map(({ kind, held: { stated, count } }) => ({
      bar: `report ${kind}: ${percent(stated / count)} within; needed 90 %`,
      met: stated / count >= 0.9,
    })),
    { bar: `reports: ${percent(share)} within; needed 93 to 98 %`, met: share >= 0.93 && share <= 0.98 },
  ];
}

/** How many chances of a die on the three tables a prediction's intervals hold. */
function heldBy(shape: DieShape, { p, covariance, model }: Prediction, throws: number): Held {
  const k = p.length;
  const said = centredLogs(p);
  let held = NONE;
  for (const table of TABLE_NAMES) {
    const seen = centredLogs(tallyOf(bodyOf(shape), table, 31, 0, throws).counts);
    rollOrder(shape).forEach((f, r) => {
      const at = r * (k + 1);
      const within = (variance: number): number => ((seen[f] - said[r]) ** 2 <= NORMAL_95 ** 2 * variance ? 1 : 0);
      const chance = (k - 1) / throws;
      held = added(held, {
        count: 1,
        stated: within(covariance[at] + chance),
        bare: within(covariance[at]),
        own: within(covariance[at] - model[at] + chance),
      });
    });
  }
  return held;
}

/** What a report says of a die that was measured with errors. */
function reported(shape: DieShape, normal: () => number): Prediction {
  const shared = MEASURED.shared * normal();
  const read: DieShape = {
    ...shape,
    distances: shape.distances.map((d) => d + shared + MEASURED.face * normal()),
    radii: shape.radii.map((r) => Math.max(0.01, r + MEASURED.corner * normal())),
  };
  const known = { shape: read, covariance: errorCovariance(read) };
  const body = toThrow(known);
  if (!body.ok) throw new Error(body.error.code);
  const each = Math.round(RECORD_PLAN.throws / TABLE_NAMES.length);
  const tally = TABLE_NAMES.reduce(
    (sum, table) => (body.value ? merged(sum, tallyOf(body.value, table, 1, 0, each)) : sum),
    emptyTally(shape.distances.length),
  );
  const said = recordPrediction(known, body.value ? thrownRolls(known, tally, 1) : null);
  if (!said.ok) throw new Error(said.error.code);
  return said.value;
}

function countsOf(body: ThrowBody, table: Table, hand: Hand, throws: number): Float64Array {
  const counts = new Float64Array(body.passes.length);
  for (const { face } of thrower(body, table, hand)(9, 0, throws)) counts[face]++;
  return counts;
}

function errorCovariance({ distances, radii }: DieShape): Float64Array {
  const n = distances.length + radii.length;
  return Float64Array.from({ length: n * n }, (_, q) => {
    const [i, j] = [Math.floor(q / n), q % n];
    const own = i !== j ? 0 : i < distances.length ? MEASURED.face ** 2 : MEASURED.corner ** 2;
    return own + (i < distances.length && j < distances.length ? MEASURED.shared ** 2 : 0);
  });
}
