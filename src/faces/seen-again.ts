import type { SlotReading } from './readings.ts';
import type { TurnTable } from './turn-table.ts';

/**
 * The readings of a set as they count for all photos at once, once it is known how these stand to each other: an odd figure is odd in
 * each photo that shows it, so the readings of one face count as the root of their number.
 *
 * @param way    Way per photo; which of the solid's turns all of them are off by does not matter.
 * @param trust  Share of all readings that is believed.
 */
export function seenAgain(
  { face, faces }: TurnTable,
  way: ArrayLike<number>,
  readings: readonly (readonly SlotReading[])[],
  trust = 1,
): SlotReading[][] {
  const views = new Int32Array(faces);
  const of = (i: number, slot: number): number => face[way[i]! * faces + slot]!;
  readings.forEach((list, i) => {
    for (const { slot } of list) views[of(i, slot)]!++;
  });
  return readings.map((list, i) =>
    list.map((r) => ({ ...r, weight: (trust * r.weight) / Math.sqrt(views[of(i, r.slot)]!) })),
  );
}
