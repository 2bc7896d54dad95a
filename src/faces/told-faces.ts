import type { DieSolid } from '../geometry/solid.ts';
import type { Shot } from '../geometry/standing.ts';
import { turnsOf } from '../geometry/symmetry.ts';

/** A number that somebody saw on a place of the die as it stands (an index in the solid's order, its first face up: a "slot"). */
export interface ToldFace {
  readonly slot: number;
  readonly label: string;
}

/** Where the faces that a photo is named by are, as slots. */
export interface NamedSlots {
  readonly up: number;
  readonly front: number;
}

/** Up and front for every way of standing that shows what was told; each once. Empty where the die cannot show it so. */
export function shotsTold(solid: DieSolid, { up, front }: NamedSlots, told: readonly ToldFace[]): Shot[] {
  const shots = new Map<string, Shot>();
  for (const { faces } of turnsOf(solid)) {
    const label = (slot: number): string => solid.labels[faces[slot]!]!;
    if (!told.every((t) => label(t.slot) === t.label)) continue;
    const shot = { up: label(up), front: label(front) };
    shots.set(`${shot.up} ${shot.front}`, shot);
  }
  return [...shots.values()];
}

/** Numbers that a slot can show beside what was told already, in the solid's order. */
export function labelsLeft(solid: DieSolid, slot: number, told: readonly ToldFace[]): string[] {
  const others = told.filter((t) => t.slot !== slot);
  const left = new Set<number>();
  for (const { faces } of turnsOf(solid))
    if (others.every((t) => solid.labels[faces[t.slot]!] === t.label)) left.add(faces[slot]!);
  return solid.labels.filter((_, face) => left.has(face)).sort((a, b) => Number(a) - Number(b));
}
