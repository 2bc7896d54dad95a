/** A table as an impact feels it. */
export interface Table {
  /** Normal restitution of a fast impact. */
  readonly e: number;
  /** Coulomb friction. */
  readonly mu: number;
  /** Impact speed at which restitution has fallen to half of `e`, mm/s. */
  readonly fade: number;
  /** Tangential restitution, -1 to 1; 0 = sticking. */
  readonly et: number;
}

/**
 * Hard plastic dice on three tables: e(v) = e v / (v + fade).
 *
 * Modelling choices within ranges from practice (wood 0.45-0.65, felt 0.3-0.45, stone or glass 0.7-0.85; from memory); no published
 * measurement for dice was found. What the choice is worth is part of the stated doubt.
 */
export const TABLES = {
  wood: { e: 0.55, mu: 0.3, fade: 30, et: 0 },
  felt: { e: 0.35, mu: 0.5, fade: 50, et: 0 },
  stone: { e: 0.75, mu: 0.2, fade: 20, et: 0 },
} as const satisfies Record<string, Table>;

export type TableName = keyof typeof TABLES;
export const TABLE_NAMES = Object.keys(TABLES) as readonly TableName[];

/** How a person throws. Lengths mm, speeds mm/s. */
export interface Hand {
  /** Height of release, evenly between the two. */
  readonly height: readonly [number, number];
  /** Horizontal speed: mean and standard deviation. */
  readonly along: readonly [number, number];
  /** Vertical speed: mean and standard deviation. */
  readonly up: readonly [number, number];
  /** Standard deviation of the spin about each axis, rad/s. */
  readonly spin: number;
}

/** An ordinary throw across a table (a modelling choice). The die leaves the hand in any attitude alike. */
export const HAND: Hand = { height: [80, 200], along: [800, 300], up: [0, 400], spin: 15 };
