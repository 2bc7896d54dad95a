import * as v from 'valibot';
import { failure, success, type Result } from '../result.ts';

/** The file of measured dice that were thrown: one pair or many, from one person or many. */
export const PAIRS_FORMAT = 'evencast-pairs/1';

/** Most pairs of one file, and most throws of one pair. */
export const PAIRS_BOUNDS = { pairs: 10_000, throws: 1e8, text: 400, bytes: 50_000_000 } as const;

const line = v.pipe(v.string(), v.maxLength(PAIRS_BOUNDS.text));
const count = v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(PAIRS_BOUNDS.throws));
const name = v.pipe(v.string(), v.minLength(1), v.maxLength(20));

/** How it was thrown, in one's own words; nothing of it enters the numbers. */
const about = v.object({ die: line, by: line, table: line, hand: line, note: line });

const pair = v.object({
  /** A measuring result ("evencast-result/1") or those parts of it that rolls need; read by `readShape`. */
  shape: v.record(v.string(), v.unknown()),
  rolls: v.pipe(v.array(v.object({ name, count })), v.minLength(2), v.maxLength(40)),
  about,
});

const file = v.object({
  format: v.literal(PAIRS_FORMAT),
  pairs: v.pipe(v.array(pair), v.minLength(1), v.maxLength(PAIRS_BOUNDS.pairs)),
});

export type Pair = v.InferOutput<typeof pair>;
export type PairAbout = v.InferOutput<typeof about>;
export type PairsFile = v.InferOutput<typeof file>;

/** Where a file is no file of pairs: the place in it, and what was seen there. */
export interface PairsFault {
  readonly code: 'not-pairs';
  readonly at: string;
}

/** Reads a parsed file; anything unfit is refused with its place. */
export function readPairs(json: unknown): Result<PairsFile, PairsFault> {
  const read = v.safeParse(file, json);
  if (read.success) return success(read.output);
  return failure({ code: 'not-pairs', at: v.getDotPath(read.issues[0]) ?? 'the file' });
}

/** The parts of a result that rolls need: nothing of photos, camera or place goes into a file that is given away. */
const NEEDED = [
  'die',
  'faces',
  'corners',
  'axes',
  'axesCovariance',
  'shapeCovariance',
  'mark',
  'trim',
  'massOffset',
  'marks',
];

/** One pair of a measuring result and counts, without what rolls do not need. */
export const pairOf = (
  result: object,
  names: readonly string[],
  counts: ArrayLike<number>,
  said: Partial<PairAbout> = {},
): Pair => ({
  shape: Object.fromEntries(Object.entries(result).filter(([key]) => NEEDED.includes(key))),
  rolls: names.map((n, i) => ({ name: n, count: counts[i] })),
  about: { die: '', by: '', table: '', hand: '', note: '', ...said },
});

export const pairsText = (pairs: readonly Pair[]): string =>
  `${JSON.stringify({ format: PAIRS_FORMAT, pairs }, null, 1)}\n`;
