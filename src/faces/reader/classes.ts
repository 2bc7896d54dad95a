import type { DieKind } from '../../geometry/solid.ts';

/** What the net tells apart: numbers, tens that are no numbers of a d20, pips, a sign that is no number, nothing at all, and a number turned away. */
const NUMBERS = Array.from({ length: 21 }, (_, n) => String(n));
const TENS = ['00', '30', '40', '50', '60', '70', '80', '90'];
const PIPS = ['pips 1', 'pips 2', 'pips 3', 'pips 4', 'pips 5', 'pips 6'];

/** Classes in the order of the net's outputs. `turned` is a number that stands neither upright nor within some degrees of it. */
export const CLASSES: readonly string[] = [...NUMBERS, ...TENS, ...PIPS, 'other', 'blank', 'turned'];

/** Numbers and tens, the first of the classes. */
export const NUMBER_CLASSES = NUMBERS.length + TENS.length;

/** Index of a class by name. */
export const CLASS_AT: ReadonlyMap<string, number> = new Map(CLASSES.map((name, k) => [name, k]));

/** Labels that can stand on a die of a kind; a d10 counts ones or tens. */
export const KIND_LABELS: Readonly<Record<DieKind, readonly string[]>> = {
  d4: counted(1, 4),
  d6: counted(1, 6),
  d8: counted(1, 8),
  d10: [...counted(0, 10), '00', '20', ...TENS.slice(1)],
  d12: counted(1, 12),
  d20: counted(1, 20),
};

/** Turns at which print can stand on a face of each kind, degrees counter-clockwise from the picture's up, evenly spaced from 0. */
export const KIND_TURNS: Readonly<Record<DieKind, number>> = { d4: 6, d6: 4, d8: 6, d10: 4, d12: 10, d20: 6 };

function counted(from: number, to: number): readonly string[] {
  return NUMBERS.slice(from, to + 1);
}

/**
 * How often each kind of content is among what the net learns from; numbers are the rest, so often upright. What the net says of signs and of
 * nothing is put on an equal footing with one number at one turn by it.
 */
export const LEARNT_SHARES = { blank: 0.04, other: 0.08, pips: 0.14, upright: 0.6 } as const;
