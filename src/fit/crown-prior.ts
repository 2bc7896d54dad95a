/** What is believed of a die's crowns beforehand, mm: all of one die alike, and each by itself about that. */
export interface CrownPrior {
  readonly mean: number;
  /** Standard deviation of what all faces share, and of a face's own about it. */
  readonly common: number;
  readonly own: number;
}

/** The prior's precision matrix: `own` on its diagonal, less `shared` everywhere (the inverse of a diagonal and a constant). */
export function crownPrecision({ common, own }: CrownPrior, count: number): { own: number; shared: number } {
  const w = 1 / own ** 2;
  return { own: w, shared: (w * w * common ** 2) / (1 + count * w * common ** 2) };
}
