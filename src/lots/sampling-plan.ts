import { failure, success, type Result } from '../result.ts';

/*
 * Acceptance sampling by attributes after ISO 2859-1:1999, single sampling, normal inspection, general levels I to III. Not in here:
 * tightened and reduced inspection, the switching rules, double and multiple plans, special levels, fractional acceptance numbers.
 */

export const LEVELS = ['I', 'II', 'III'] as const;
export type Level = (typeof LEVELS)[number];

/** Upper end of each range of lot sizes, and the code letter for levels I, II, III (ISO 2859-1 table 1). */
const LETTERS: readonly (readonly [number, string])[] = [
  [8, 'AAB'],
  [15, 'ABC'],
  [25, 'BCD'],
  [50, 'CDE'],
  [90, 'CEF'],
  [150, 'DFG'],
  [280, 'EGH'],
  [500, 'FHJ'],
  [1200, 'GJK'],
  [3200, 'HKL'],
  [10_000, 'JLM'],
  [35_000, 'KMN'],
  [150_000, 'LNP'],
  [500_000, 'MPQ'],
  [Infinity, 'NQR'],
];
const CODES = 'ABCDEFGHJKLMNPQR';
const SIZES = [2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000] as const;

/** Acceptance quality limits of the standard; above 10 they count nonconformities per 100 pieces. */
export const AQLS = [
  0.01, 0.015, 0.025, 0.04, 0.065, 0.1, 0.15, 0.25, 0.4, 0.65, 1, 1.5, 2.5, 4, 6.5, 10, 15, 25, 40, 65, 100, 150, 250,
  400, 650, 1000,
] as const;

/** Acceptance numbers along a row of table 2-A, from its first plan on; between 0 and 1 stand an arrow up and one down. */
const ACCEPT = [0, null, null, 1, 2, 3, 5, 7, 10, 14, 21, 30, 44] as const;

/** A single sampling plan. */
export interface SamplingPlan {
  /** By lot size and level. */
  readonly letter: string;
  /** Whose sample size is used: another than `letter` where the table's arrow says so. */
  readonly usedLetter: string;
  /** Dice to inspect; the whole lot where the sample would be as large. */
  readonly sample: number;
  readonly wholeLot: boolean;
  readonly accept: number;
  readonly reject: number;
}

export type PlanFault =
  | { readonly code: 'lot-size'; readonly seen: number }
  | { readonly code: 'aql'; readonly seen: number }
  | { readonly code: 'level'; readonly seen: string };

/** Code letter of a lot of 2 or more (ISO 2859-1 table 1). */
export function codeLetter(lotSize: number, level: Level): string {
  return LETTERS.find(([most]) => lotSize <= most)![1][LEVELS.indexOf(level)]!;
}

/**
 * What table 2-A holds for a code letter and an AQL: an acceptance number, or where to go on looking.
 *
 * The table is built of diagonals: a row lower in sample size by one step stands one AQL further right.
 */
export function tableCell(letter: string, aql: number): number | 'down' | 'up' {
  const row = CODES.indexOf(letter);
  const step = AQLS.indexOf(aql as (typeof AQLS)[number]) - (14 - row);
  if (step < 0) return 'down';
  // Row A has none above, row R none below.
  if (step === 1 || step === 2) return letter === 'A' || (letter !== 'R' && step === 2) ? 'down' : 'up';
  const accept = ACCEPT[step];
  const most = letter === 'A' ? 30 : row <= CODES.indexOf('E') ? 44 : 21;
  return accept === undefined || accept === null || accept > most ? 'up' : accept;
}

/** The plan for a lot. */
export function samplingPlan(lotSize: number, aql: number, level: string): Result<SamplingPlan, PlanFault> {
  if (!Number.isInteger(lotSize) || lotSize < 2 || lotSize > 1e9) return failure({ code: 'lot-size', seen: lotSize });
  if (!(AQLS as readonly number[]).includes(aql)) return failure({ code: 'aql', seen: aql });
  if (!(LEVELS as readonly string[]).includes(level)) return failure({ code: 'level', seen: level });
  const letter = codeLetter(lotSize, level as Level);
  let row = CODES.indexOf(letter);
  let cell = tableCell(CODES[row]!, aql);
  while (typeof cell === 'string') {
    row += cell === 'down' ? 1 : -1;
    cell = tableCell(CODES[row]!, aql);
  }
  const wholeLot = SIZES[row]! >= lotSize;
  return success({
    letter,
    usedLetter: CODES[row]!,
    sample: wholeLot ? lotSize : SIZES[row]!,
    wholeLot,
    accept: cell,
    reject: cell + 1,
  });
}
