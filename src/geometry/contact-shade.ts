/**
 * Light of the stage beside an edge of a die that lies on it, as shares of an even sky's light.
 *
 * Across the edge: a cylinder of radius r touches the stage, a face rises from it. From a stage point at distance x of the line of contact
 * the sky is covered from the die's side up to the tangent of the cylinder, at the elevation 2 atan(r / x), or up to the face where that
 * reaches higher. Of the light that falls on the stage, the part from between the elevations 0 and e of one side is (1 - cos e) / 2; what
 * is left is x^2 / (x^2 + r^2), or (1 + cos e) / 2 beside the face.
 *
 * Source: the view factor of a long strip, F = (sin a - sin b) / 2 (crossed strings; Hottel 1954), closed forms by integration.
 */
export interface ContactShade {
  /** Radius of the rounding, mm. */
  readonly radius: number;
  /** Distance from the line of contact at which the stage comes into view, mm. */
  readonly first: number;
  /** Stage seen per px along the outline's normal, mm. */
  readonly perPx: number;
  /** Share of the sky beside the face, where the rounding covers no more than that. */
  readonly open: number;
}

/** Numbers that a {@link ContactShade} takes in a list: radius, first, perPx, open; a radius of 0 says that there is none. */
export const SHADE_WIDTH = 4;

/**
 * The shade at a place of the outline, or null where nothing of the rounding's shade is in view.
 *
 * @param normalUp  Upward part of the outline's unit normal there: sine of its elevation.
 * @param faceUp    The same of the face that rises from the edge.
 * @param pxPerMm   Scale across the line of sight.
 */
export function contactShade(radius: number, normalUp: number, faceUp: number, pxPerMm: number): ContactShade | null {
  const level = Math.sqrt(Math.max(0, 1 - normalUp * normalUp));
  // The tangent plane with normal elevation t rises at 90 degrees less t from the die's side.
  if (!(faceUp > normalUp) || faceUp > 0.999 || level < 0.05) return null;
  return {
    radius,
    first: radius * Math.tan((Math.PI / 2 + Math.asin(normalUp)) / 2),
    perPx: 1 / (level * pxPerMm),
    open: (1 + faceUp) / 2,
  };
}

/** Share of the sky at a stage point, `px` outside the outline. */
export function skyAt({ radius, first, perPx, open }: ContactShade, px: number): number {
  const x = first + Math.max(0, px) * perPx;
  return Math.min(open, (x * x) / (x * x + radius * radius));
}
