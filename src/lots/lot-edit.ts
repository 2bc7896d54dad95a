import type { DieKind } from '../geometry/solid.ts';
import { failure, success, type Result } from '../result.ts';
import { nameFault, type NameFault } from './family-names.ts';
import { BOUNDS, type Lot, type LotDie } from './lot.ts';

/** Why a die cannot join a lot. */
export type AddFault =
  | { readonly code: 'other-kind'; readonly seen: DieKind; readonly needed: DieKind }
  | ({ readonly code: 'other-names' } & NameFault)
  | { readonly code: 'too-many' };

/** The lot with one die more at its end; a label that is taken gets a number behind it. An empty lot takes the die's kind. */
export function addDie(lot: Lot, kind: DieKind, die: LotDie): Result<Lot, AddFault> {
  if (lot.dice.length >= BOUNDS.dice) return failure({ code: 'too-many' });
  if (lot.dice.length > 0 && kind !== lot.kind) return failure({ code: 'other-kind', seen: kind, needed: lot.kind });
  const fault = nameFault(kind, die, lot.dice[0] ?? die);
  if (fault) return failure({ code: 'other-names', ...fault });
  return success({ ...lot, kind, dice: [...lot.dice, { ...die, label: freeLabel(lot, die.label) }] });
}

/** A label that no die of the lot has. */
export function freeLabel({ dice }: Lot, wished: string): string {
  const taken = new Set(dice.map((d) => d.label));
  const base = wished.trim() === '' ? 'die' : wished;
  if (!taken.has(base)) return base;
  for (let i = 2; ; i++) {
    const label = `${base.slice(0, 70)} (${i})`;
    if (!taken.has(label)) return label;
  }
}
