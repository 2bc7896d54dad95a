import { dieSolid, type DieKind } from '../geometry/solid.ts';
import { FAMILIES, type Family, type LotDie } from '../formats/lot.ts';

/** Why a die does not fit a lot: its kind has another number of these, two bear one name, or others of the lot bear other names. */
export interface NameFault {
  readonly family: Family;
  readonly need: 'names-count' | 'unlike' | 'names-order';
  readonly seen: string;
  /** How many the kind has; whose names hold. */
  readonly limit?: string | number;
}

type Sizes = Readonly<Record<Family, number>>;
const known: Partial<Record<DieKind, Sizes>> = {};

/** How many axes, corners and faces a kind has. */
export const familySizes = (kind: DieKind): Sizes => (known[kind] ??= counted(kind));

function counted(kind: DieKind): Sizes {
  const solid = dieSolid(kind);
  const faces = solid.labels.length;
  return { axes: kind === 'd4' ? faces : faces / 2, corners: solid.corners.length, faces };
}

/** What is wrong with a die's names, or null. @param first  A die of the lot whose names the others share. */
export function nameFault(kind: DieKind, die: LotDie, first: LotDie): NameFault | null {
  const sizes = familySizes(kind);
  for (const family of FAMILIES) {
    const names = die[family].map((l) => l.name);
    if (names.length !== sizes[family])
      return { family, need: 'names-count', seen: String(names.length), limit: sizes[family] };
    const twice = names.find((n, i) => names.indexOf(n) !== i);
    if (twice !== undefined) return { family, need: 'unlike', seen: twice };
    const other = names.find((n, i) => first[family][i]!.name !== n);
    if (other !== undefined) return { family, need: 'names-order', seen: other, limit: first.label };
  }
  return null;
}
