import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import * as v from 'valibot';

const BIN = v.object({
  dice: v.array(v.object({ note: v.string() })),
  shots: v.array(
    v.object({
      photo: v.string(),
      dice: v.array(v.object({ die: v.number(), xy_mm: v.tuple([v.number(), v.number()]) })),
    }),
  ),
});
/** A set of one die: every photo shows it alone, somewhere. */
const SINGLE = v.object({ axes_mm: v.record(v.string(), v.number()) });
const TRUTH = v.union([BIN, SINGLE]);

/** A die that a rendered photo shows: its place on the card, mm, or null where the maker did not say; and whether it is to be kept. */
export interface TrueDie {
  readonly place: readonly [number, number] | null;
  readonly good: boolean;
}

/** Dice of each photo. It serves to judge results, never to reach them. */
export type BinTruth = ReadonlyMap<string, readonly TrueDie[]>;

/** Notes of a rendered bin that name a die without a fault. */
const GOOD = /^(good|as moulded)/;

/** Reads what the maker of a rendered bin, or of a set of one die (which is taken for good, also where nothing is told of it), knows of it. */
export async function readBinTruth(folder: string, photos: readonly string[]): Promise<BinTruth> {
  const text = await readFile(join(folder, 'truth.json'), 'utf8').catch(() => '{ "axes_mm": {} }');
  const truth = v.parse(TRUTH, JSON.parse(text));
  if (!('dice' in truth)) return new Map(photos.map((p) => [p, [{ place: null, good: true }]]));
  return new Map(
    truth.shots.map(({ photo, dice }) => [
      photo,
      dice.map((d) => ({ place: d.xy_mm, good: GOOD.test(truth.dice[d.die]!.note) })),
    ]),
  );
}
