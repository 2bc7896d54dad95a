import type { Lot } from '../formats/lot.ts';
import { BOUNDS as ALL } from '../formats/bounds.ts';
import { LOT_BOUNDS } from '../formats/lot.ts';

export { FAMILIES, LIMITED, NO_LIMITS } from '../formats/lot.ts';
export type { Family, FamilyDoubt as Doubt, Length, Limited, Lot, LotDie, LotLimits } from '../formats/lot.ts';

/** Most that is read of a lot; a larger file is refused. */
export const BOUNDS = { dice: ALL.dice, bytes: LOT_BOUNDS.bytes } as const;

/** Labels of the dice of the whole lot that are not among those judged. */
export const leftOut = (whole: Lot, judged: Lot): readonly string[] => {
  const counted = new Set(judged.dice.map((d) => d.label));
  return whole.dice.map((d) => d.label).filter((l) => !counted.has(l));
};
