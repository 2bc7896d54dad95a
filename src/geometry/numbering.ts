import type { DieKind } from './kinds.ts';

/**
 * Which numbers surround which: for each number the numbers on the neighbouring faces, counter-clockwise seen from outside.
 *
 * The usual layouts (common practice, no published source): opposite faces sum to n + 1, on a d10 to 9; 1, 2, 3 of a d6 run
 * counter-clockwise round their corner. A d4 is named by the face it stands on.
 */
export type Numbering = Readonly<Record<string, readonly string[]>>;

const table = (rows: string): Numbering =>
  Object.fromEntries(
    rows
      .trim()
      .split('\n')
      .map((row) => row.trim().split(': '))
      .map(([label, around]) => [label!, around!.split(' ')]),
  );

export const NUMBERINGS: Readonly<Record<DieKind, Numbering>> = {
  d4: table(`1: 2 3 4
    2: 3 1 4
    3: 2 4 1
    4: 3 2 1`),
  d6: table(`1: 2 3 5 4
    2: 6 3 1 4
    3: 2 6 5 1
    4: 2 1 5 6
    5: 6 4 1 3
    6: 2 4 5 3`),
  d8: table(`1: 2 4 6
    2: 3 1 5
    3: 4 2 8
    4: 1 3 7
    5: 2 6 8
    6: 1 7 5
    7: 4 8 6
    8: 3 5 7`),
  d10: table(`0: 4 6 1 7
    1: 0 6 5 7
    2: 6 8 9 5
    3: 8 4 7 9
    4: 8 0 7 3
    5: 6 2 9 1
    6: 0 2 5 1
    7: 4 0 1 3
    8: 2 4 3 9
    9: 2 8 3 5`),
  d12: table(`1: 2 4 6 3 5
    2: 10 4 1 5 7
    3: 1 6 11 9 5
    4: 2 10 8 6 1
    5: 7 2 1 3 9
    6: 4 8 11 3 1
    7: 10 2 5 9 12
    8: 4 10 12 11 6
    9: 12 7 5 3 11
    10: 8 4 2 7 12
    11: 6 8 12 9 3
    12: 8 10 7 9 11`),
  d20: table(`1: 13 7 19
    2: 18 20 12
    3: 19 17 16
    4: 11 14 18
    5: 13 18 15
    6: 9 16 14
    7: 1 15 17
    8: 20 16 10
    9: 11 19 6
    10: 17 12 8
    11: 13 9 4
    12: 15 2 10
    13: 11 5 1
    14: 4 6 20
    15: 5 12 7
    16: 6 3 8
    17: 3 7 10
    18: 5 4 2
    19: 9 1 3
    20: 2 14 8`),
};

/** A d10 numbered in tens, 00 to 90, as the usual d10 is from 0 to 9. */
export const TENS: Numbering = Object.fromEntries(
  Object.entries(NUMBERINGS.d10).map(([label, around]) => [`${label}0`, around.map((a) => `${a}0`)]),
);
