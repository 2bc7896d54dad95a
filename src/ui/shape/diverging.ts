/**
 * Colours from short over even to long that the colour-blind tell apart, too: violet, near white, orange.
 *
 * Source: PuOr of ColorBrewer (Brewer, Hatchard and Harrower, "ColorBrewer in print", 2003), its steps that black text can stand on.
 */
const STOPS = [
  [128, 115, 172],
  [178, 171, 210],
  [247, 247, 247],
  [253, 184, 99],
  [224, 130, 20],
] as const;

/** @param t  -1 shortest, 0 even, 1 longest; what lies beyond counts as that. @returns Red, green, blue, 0 to 255. */
export function divergingColour(t: number): readonly [number, number, number] {
  const at = ((Math.min(1, Math.max(-1, t)) + 1) / 2) * (STOPS.length - 1);
  const i = Math.min(STOPS.length - 2, Math.floor(at));
  const mix = (k: number): number => Math.round(STOPS[i]![k]! + (at - i) * (STOPS[i + 1]![k]! - STOPS[i]![k]!));
  return [mix(0), mix(1), mix(2)];
}

export const cssColour = (t: number): string => `rgb(${divergingColour(t).join(' ')})`;
