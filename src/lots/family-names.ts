import { dieSolid, type DieKind } from '../geometry/solid.ts';
import { FAMILIES, type Family, type LotDie } from './lot.ts';

/** Why a die does not fit a lot: its kind has another number of these, or others of the lot bear other names. */
export interface NameFault {
  readonly family: Family;
  readonly needed: string;
  readonly seen: string;
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
      return { family, needed: `${sizes[family]} of a ${kind}`, seen: String(names.length) };
    const twice = names.find((n, i) => names.indexOf(n) !== i);
    if (twice !== undefined) return { family, needed: 'names unlike each other', seen: twice };
    const other = names.find((n, i) => first[family][i]!.name !== n);
    if (other !== undefined) return { family, needed: `the names of "${first.label}" in their order`, seen: other };
  }
  return null;
}
