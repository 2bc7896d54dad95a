import type { ThingsOf } from './steep-grain.ts';

/** Passes of smoothing at most; what is found then must be this share of the largest thing's area. */
const SMOOTHER = { passes: 3, share: 0.15 } as const;

/**
 * The things as first seen, largest first, or, where the outline of the largest has gaps, or grain that could not be told from it has been taken
 * off, once the picture is so much smoother that one is whole: grain breaks an edge that rises hardly above it, and smoothing takes more of grain
 * than of edges.
 *
 * @param asked  What is seen after so many passes of smoothing.
 * @param own    Whether most of a thing's outline is its own.
 */
export function wholeThings<T extends { readonly solid: boolean; readonly trimmed: boolean; readonly area: number }>(
  asked: (passes: number) => ThingsOf<T>,
  own: (thing: T) => boolean,
): readonly T[] {
  const first = asked(0);
  const least = SMOOTHER.share * (first.found[0]?.area ?? 0);
  const isWhole = ({ found, clear }: ThingsOf<T>): boolean =>
    found.some((t) => t.solid && t.area > least && (clear || !t.trimmed) && own(t));
  if (first.found.length === 0 || isWhole(first)) return first.found;
  for (let passes = 1; passes <= SMOOTHER.passes; passes++) {
    const again = asked(passes);
    if (isWhole(again)) return again.found;
  }
  return first.found;
}
