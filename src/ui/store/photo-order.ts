/** A name that counts: "03-18.jpg", "photo 2.jpg", "IMG_0012.JPG". */
const COUNTS = /\d/;

/**
 * In which order photos were meant: by their names, numbers counted as numbers, where every name holds one; else by the times
 * they were taken, where all are known and no two are alike; else by their names.
 *
 * @param times  Milliseconds of one clock, null or missing where unknown.
 * @returns Places in `names`, first photo first.
 */
export function photoOrder(names: readonly string[], times: readonly (number | null)[] = []): number[] {
  const places = names.map((_, i) => i);
  const byName = (a: number, b: number): number => names[a]!.localeCompare(names[b]!, 'en', { numeric: true }) || a - b;
  const known = times.filter((time) => time !== null).length === names.length;
  const apart = new Set(times).size === names.length;
  const counted = names.every((name) => COUNTS.test(name)) && new Set(names).size === names.length;
  if (!counted && known && apart) return places.sort((a, b) => times[a]! - times[b]!);
  return places.sort(byName);
}
