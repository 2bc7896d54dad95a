import type { BinDie, BinPhoto } from '../../bin/types.ts';
import type { BinTruth, TrueDie } from './bin-truth.ts';

/** What came of a bin: counts of dice and things over its photos. */
export interface BinCounts {
  /** Dice that the photos show, those that were outlined, and of these those that were measured. */
  readonly dice: number;
  readonly found: number;
  readonly measured: number;
  /** What was outlined where no die lies. */
  readonly invented: number;
  readonly goodRejected: number;
  readonly goodAgain: number;
  readonly badKept: number;
  readonly badAgain: number;
  /** Photos that were left out. */
  readonly leftOut: number;
}

export const NO_COUNTS: BinCounts = {
  dice: 0,
  found: 0,
  measured: 0,
  invented: 0,
  goodRejected: 0,
  goodAgain: 0,
  badKept: 0,
  badAgain: 0,
  leftOut: 0,
};

/** A thing nearer to a die's true place than this is that die, mm. */
const NEAR = 7;

/** Holds the verdicts of a bin's photos against what is known of them. */
export function binCounts(photos: readonly BinPhoto[], truth: BinTruth): BinCounts {
  return photos.map((p) => photoCounts(p, truth.get(p.photo) ?? [])).reduce(summed, NO_COUNTS);
}

function photoCounts(photo: BinPhoto, dice: readonly TrueDie[]): BinCounts {
  const pairs = paired(photo.dice, dice);
  const count = (test: (d: BinDie, t: TrueDie) => boolean): number => pairs.filter(([d, t]) => test(d, t)).length;
  return {
    dice: dice.length,
    found: pairs.length,
    measured: count((d) => d.size !== null),
    invented: photo.dice.length - pairs.length,
    goodRejected: count((d, t) => t.good && d.verdict === 'reject'),
    goodAgain: count((d, t) => t.good && d.verdict === 'look-again'),
    badKept: count((d, t) => !t.good && d.verdict === 'keep'),
    badAgain: count((d, t) => !t.good && d.verdict === 'look-again'),
    leftOut: photo.status === 'left-out' ? 1 : 0,
  };
}

/** Each true die with the thing outlined nearest to it; measured ones first. */
function paired(seen: readonly BinDie[], dice: readonly TrueDie[]): (readonly [BinDie, TrueDie])[] {
  const left = [...seen].sort((a, b) => Number(b.size !== null) - Number(a.size !== null));
  return dice.flatMap((t): (readonly [BinDie, TrueDie])[] => {
    const at = left.findIndex((d) => t.place === null || Math.hypot(d.x - t.place[0], d.y - t.place[1]) < NEAR);
    return at < 0 ? [] : [[left.splice(at, 1)[0]!, t]];
  });
}

export function summed(a: BinCounts, b: BinCounts): BinCounts {
  const sum: Record<keyof BinCounts, number> = { ...a };
  for (const name of Object.keys(NO_COUNTS) as (keyof BinCounts)[]) sum[name] += b[name];
  return sum;
}

/** A die not found, a thing invented or a good die rejected. */
export const binFailed = (c: BinCounts): boolean => c.found < c.dice || c.invented > 0 || c.goodRejected > 0;

/** One row in words, for following a run. */
export const binLine = (c: BinCounts): string =>
  `${binFailed(c) ? 'FAILED' : 'held  '} ${c.found}/${c.dice} found, ${c.measured} measured, ${c.invented} invented; good: ${c.goodRejected} rejected, ${c.goodAgain} to look again; faulty: ${c.badKept} kept, ${c.badAgain} to look again; ${c.leftOut} photos left out`;

const COLUMNS = ['dice', 'found', 'measured', 'invented', 'goodRejected', 'goodAgain', 'badKept', 'badAgain'] as const;

/** A row per alteration over all bins, and their sum; Markdown. */
export function binTable(rows: readonly { readonly name: string; readonly counts: BinCounts }[]): string {
  const names = [...new Set(rows.map((r) => r.name))];
  const line = (name: string, of: readonly { readonly counts: BinCounts }[]): string => {
    const sum = of.map((r) => r.counts).reduce(summed, NO_COUNTS);
    return `| ${[name, ...COLUMNS.map((k) => sum[k])].join(' | ')} |`;
  };
  return [
    '| altered | dice | found | measured | invented | good: rejected | good: look again | faulty: kept | faulty: look again |',
    `|${'---|'.repeat(COLUMNS.length + 1)}`,
    ...names.map((n) =>
      line(
        n,
        rows.filter((r) => r.name === n),
      ),
    ),
    line('all', rows),
  ].join('\n');
}
