import { homographyOf, mapped, type Homography } from '../maths/homography.ts';
import { solve } from '../maths/linear.ts';

/** Where the picture shows a point of the card (card frame, mm as designed). */
export interface CardMap {
  at(x: number, y: number): readonly [number, number];
  /** Distance of the point from the camera over that of the stage's centre. */
  depth(x: number, y: number): number;
}

/** Fewest points for the cubic beside the homography. */
const CUBIC_POINTS = 40;
const TERMS = 10;
/** What the cubic counts places in, mm. */
const UNIT = 60;

/**
 * A smooth map of the card into one picture without any camera: a homography, and a cubic for what the lens and a bow add where
 * enough points are seen.
 *
 * @param card     [x, y] per point, mm.
 * @param picture  [u, v] per point, px.
 * @returns Null where the points do not determine a homography.
 */
export function cardMap(card: ArrayLike<number>, picture: ArrayLike<number>): CardMap | null {
  const h = card.length >= 8 ? homographyOf(card, picture) : null;
  if (!h) return null;
  const [a, b] =
    card.length >= 2 * CUBIC_POINTS ? [leftOver(h, card, picture, 0), leftOver(h, card, picture, 1)] : [null, null];
  return new SmoothMap(h, a, b);
}

class SmoothMap implements CardMap {
  readonly #h: Homography;
  readonly #a: Float64Array | null;
  readonly #b: Float64Array | null;

  /** What is added to the homography along both axes: one without the other is not. */
  constructor(h: Homography, a: Float64Array | null, b: Float64Array | null) {
    this.#h = h;
    this.#a = b && a;
    this.#b = a && b;
  }

  at(x: number, y: number): readonly [number, number] {
    const [u, v] = mapped(this.#h, x, y);
    const [a, b] = [this.#a, this.#b];
    const p = x / UNIT;
    const q = y / UNIT;
    return a && b ? [u + cubicOf(a, p, q), v + cubicOf(b, p, q)] : [u, v];
  }

  depth(x: number, y: number): number {
    const h = this.#h;
    return h[6]! * x + h[7]! * y + h[8]!;
  }
}

const cubic = (x: number, y: number): number[] => {
  const p = x / UNIT;
  const q = y / UNIT;
  return [1, p, q, p * p, q * q, p * q, p * p * p, p * p * q, p * q * q, q * q * q];
};

/** The terms times their coefficients, in one line each: asked for every place of the card. */
function cubicOf(c: Float64Array, p: number, q: number): number {
  let sum = c[0]! + p * c[1]! + q * c[2]!;
  sum = sum + p * p * c[3]! + q * q * c[4]! + p * q * c[5]!;
  return sum + p * p * p * c[6]! + p * p * q * c[7]! + p * q * q * c[8]! + q * q * q * c[9]!;
}

function leftOver(
  h: Homography,
  card: ArrayLike<number>,
  picture: ArrayLike<number>,
  axis: 0 | 1,
): Float64Array | null {
  const a = new Float64Array(TERMS * TERMS);
  const v = new Float64Array(TERMS);
  for (let i = 0; i < card.length; i += 2) {
    const t = cubic(card[i]!, card[i + 1]!);
    const e = picture[i + axis]! - mapped(h, card[i]!, card[i + 1]!)[axis];
    for (let p = 0; p < TERMS; p++) {
      v[p]! += t[p]! * e;
      for (let q = 0; q < TERMS; q++) a[p * TERMS + q]! += t[p]! * t[q]!;
    }
  }
  return solve(a, v, TERMS);
}
