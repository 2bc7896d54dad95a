import type { DieKind } from '../../geometry/solid.ts';
import { solidOf } from './die-shape.ts';

/**
 * Which face of the solid bears which name, from the names alone where they are the usual ones (a d10's also as tens), else from the corners:
 * a corner's name holds the names of the faces that meet there.
 *
 * A layout and its mirror image fit alike; rolls do not tell them apart.
 *
 * @param corners  Names of the faces at each corner; empty where unknown.
 * @returns The name of each face of the solid, or null where none fits.
 */
export function namedFaces(
  kind: DieKind,
  names: readonly string[],
  corners: readonly (readonly string[])[],
): string[] | null {
  const { labels } = solidOf(kind);
  if (names.length !== labels.length || new Set(names).size !== names.length) return null;
  const usual = [labels, labels.map((l) => (kind === 'd10' ? `${l}0` : l))].find((list) =>
    list.every((l) => names.includes(l)),
  );
  if (usual && fits(kind, [...usual], corners)) return [...usual];
  return corners.length === solidOf(kind).corners.length ? searched(kind, names, corners) : null;
}

const key = (names: readonly string[]): string => [...names].sort().join('\n');

function fits(kind: DieKind, faces: readonly string[], corners: readonly (readonly string[])[]): boolean {
  const known = new Set(solidOf(kind).corners.map((c) => key(c.faces.map((f) => faces[f]))));
  return corners.every((c) => known.has(key(c)));
}

/** Names put on the solid face by face, neighbours on neighbours. */
function searched(kind: DieKind, names: readonly string[], corners: readonly (readonly string[])[]): string[] | null {
  const solid = solidOf(kind);
  const shared = (a: string, b: string): number => corners.filter((c) => c.includes(a) && c.includes(b)).length;
  const met = (i: number, j: number): number =>
    solid.corners.filter((c) => c.faces.includes(i) && c.faces.includes(j)).length;
  const order = walkOrder(kind);
  const placed: string[] = [];
  const place = (n: number): boolean => {
    if (n === order.length) return fits(kind, placed, corners);
    const face = order[n];
    for (const name of names) {
      if (placed.includes(name)) continue;
      if (!order.slice(0, n).every((other) => met(face, other) === shared(name, placed[other]))) continue;
      placed[face] = name;
      if (place(n + 1)) return true;
      delete placed[face];
    }
    return false;
  };
  return place(0) ? placed : null;
}

/** Faces in an order in which each touches one before it. */
function walkOrder(kind: DieKind): number[] {
  const { edges } = solidOf(kind);
  const order = [0];
  for (const f of order)
    for (const { faces } of edges) {
      const other = faces[0] === f ? faces[1] : faces[1] === f ? faces[0] : -1;
      if (other >= 0 && !order.includes(other)) order.push(other);
    }
  return order;
}
