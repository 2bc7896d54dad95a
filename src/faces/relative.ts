import { median } from '../maths/linear.ts';
import { likenesses, type FaceLook } from './face-look.ts';
import type { TurnTable } from './turn-table.ts';

/**
 * What is believed of two pictures' likeness, as Fisher's z = atanh(correlation), before a set is seen.
 *
 * From rendered and photographed-like sets of known truth (18 sets, 700 pairs of the same face) and drawn ones (250), laid on each other as
 * `likeness` does: the same face gives 1.0 at a slant whose cosine is 0.15, and most often 1.4 to 2.2 from 0.5 on (drawn ones, whose poses
 * are three times as far off, 1.3 to 1.7); unlike faces spread about the set's own middle with a tail of 9, 10, 19 and the like.
 */
export const LIKENESS = {
  most: 0.998,
  same: { slanted: 1.0, at: 0.15, straight: 1.5, from: 0.5, spread: 0.45, lead: 2.5 },
  unlike: { middle: 0.4, spread: 0.25, widened: 1.2, leastSpread: 0.15 },
  /** Share of unlike pairs that look partly alike, how far above the middle, and their spread. */
  partly: { share: 0.15, above: 0.5, spread: 0.35 },
  /** Share of pairs of one face that look otherwise all the same: a highlight, a smear. */
  spoilt: 0.07,
  /** Bounds of what one pair of pictures may say for or against. */
  least: -3,
  most2: 4,
  /** Pairs from which a set's own middle is believed. */
  enough: 40,
} as const;

/** Evidence that two photos' dice stand so against each other: one value per way `h` = (way of the second)^-1 after (way of the first). */
export type PairEvidence = Float64Array;

/** How alike the faces of each two photos are: worked out as their looks come, in whatever order, so that it may be done while others are made. */
export class PairLikenesses {
  /** Of photo i with those before it, Fisher's z as {@link likenesses} orders it. */
  readonly rows: Float64Array[][] = [];
  readonly #looks: (readonly FaceLook[])[] = [];
  readonly #turns: number;

  /** @param turns  Turns of a face onto itself. */
  constructor(turns: number) {
    this.#turns = turns;
  }

  /** Looks of one photo; those that came before say nothing new. */
  add(photo: number, looks: readonly FaceLook[]): void {
    this.#looks[photo] = looks;
    for (let next = this.#looks[this.rows.length]; next; next = this.#looks[this.rows.length])
      this.rows.push(likenesses(next, this.#looks.slice(0, this.rows.length), this.#turns).map(fisherZ));
  }
}

/**
 * Relative evidence of each two photos, natural log of likelihood ratios (this face or another one).
 *
 * @param looks  Per photo, the faces in sight; `face` being the slot.
 * @param pairs  Of the same looks, {@link PairLikenesses}' rows.
 * @returns      `[i][j]` for j < i: first photo i, second j.
 */
export function relativeEvidence(
  table: TurnTable,
  turns: number,
  looks: readonly (readonly FaceLook[])[],
  pairs: readonly (readonly Float64Array[])[],
): PairEvidence[][] {
  const unlike = middleOf(pairs);
  const out: PairEvidence[][] = [];
  for (let i = 0; i < looks.length; i++) {
    const row: PairEvidence[] = [];
    for (let j = 0; j < i; j++) row.push(summed(table, turns, looks[i]!, looks[j]!, pairs[i]![j]!, unlike));
    out.push(row);
  }
  return out;
}

/** Fisher's z of correlations; NaN where too little is shared. */
function fisherZ(correlations: Float64Array): Float64Array {
  const out = new Float64Array(correlations.length);
  for (let k = 0; k < out.length; k++) out[k] = Math.atanh(Math.min(LIKENESS.most, correlations[k]!));
  return out;
}

interface Unlike {
  readonly middle: number;
  readonly spread: number;
}

/** Most pairs of faces and turns are of unlike ones: their middle is the set's own. */
function middleOf(pairs: readonly (readonly Float64Array[])[]): Unlike {
  const { middle, spread, leastSpread } = LIKENESS.unlike;
  const z: number[] = [];
  for (const row of pairs) for (const list of row) for (const v of list) if (!Number.isNaN(v)) z.push(v);
  if (z.length < LIKENESS.enough) return { middle, spread };
  const m = median(z);
  for (let k = 0; k < z.length; k++) z[k] = Math.abs(z[k]! - m);
  return { middle: m, spread: Math.max(leastSpread, 1.4826 * median(z)) };
}

function summed(
  { ways, faces, face, turn }: TurnTable,
  turns: number,
  a: readonly FaceLook[],
  b: readonly FaceLook[],
  z: Float64Array,
  unlike: Unlike,
): PairEvidence {
  const ratio = new Float64Array(z.length);
  const place = new Int32Array(faces).fill(-1);
  for (let j = 0; j < b.length; j++) place[b[j]!.face] = j;
  for (let i = 0, at = 0; i < a.length; i++)
    for (let j = 0; j < b.length; j++) {
      const slant = Math.min(a[i]!.slant, b[j]!.slant);
      for (let k = 0; k < turns; k++, at++)
        ratio[at] = Number.isNaN(z[at]!) ? 0 : likelihoodRatio(z[at]!, slant, unlike);
    }
  const out = new Float64Array(ways);
  for (let h = 0; h < ways; h++)
    for (let i = 0; i < a.length; i++) {
      const slot = h * faces + a[i]!.face;
      const j = place[face[slot]!]!;
      if (j >= 0) out[h]! += ratio[(i * b.length + j) * turns + (turn[slot]! % turns)]!;
    }
  return out;
}

const normal = (x: number, mean: number, sd: number): number => Math.exp(-0.5 * ((x - mean) / sd) ** 2) / sd;

/** Log of how much likelier a likeness is for one face seen twice than for two. */
function likelihoodRatio(z: number, slant: number, unlike: Unlike): number {
  const { same, partly, spoilt, least, most2 } = LIKENESS;
  const share = Math.min(1, Math.max(0, (slant - same.at) / (same.from - same.at)));
  const expected = Math.max(
    same.slanted + share * (same.straight - same.slanted),
    unlike.middle + same.lead * unlike.spread,
  );
  // Beyond what is expected it is no less the same.
  const ofSame =
    (1 - spoilt) * normal(Math.min(z, expected), expected, same.spread) +
    spoilt * normal(z, unlike.middle, same.spread);
  const ofUnlike =
    (1 - partly.share) * normal(z, unlike.middle, LIKENESS.unlike.widened * unlike.spread) +
    partly.share * normal(Math.min(z, expected + 0.5), unlike.middle + partly.above, partly.spread);
  return Math.min(most2, Math.max(least, Math.log(ofSame / ofUnlike)));
}
