import { median } from '../maths/linear.ts';
import { halfStraight, normalOf, type SideLine } from './search.ts';
import { stepsAlong, type Shown } from './steps.ts';
import type { Picture } from '../vision/picture.ts';

/** A side of a bank card, located finely. */
export interface FittedSide extends SideLine {
  /** Standard uncertainty of the offset from the points' own scatter, mm. */
  readonly u: number;
  /** Scatter of the points about the line, one standard deviation, mm. */
  readonly scatter: number;
}

export const SIDE_FIT = {
  /** Between two points of a side, mm. */
  pitch: 0.2,
  /** How far from where it is expected a point may lie while the camera is still sought, and at last, mm. */
  reach: 0.5,
  lastReach: 0.25,
  /** Left out at each end of a side beside its rounded corner, mm. */
  margin: 1,
  /** Fewest points. */
  points: 40,
  /** Stretches of a side whose means tell how far it is known: neighbouring points share their error. */
  stretches: 10,
} as const;

/** How far to either side the light is looked at, mm: the steepness near the reach's ends needs its surroundings. */
const REACH_SEEN = 1;

/** Cauchy's scale in units of sigma, and rounds of weighting anew. */
const [CAUCHY, ROUNDS] = [2.5, 8];

/**
 * A line through the steepest changes along one side, robustly.
 *
 * @param shown    Where a place of the printed card (mm as printed, at the height of this side) stands in the picture.
 * @param guess    In mm as printed.
 * @param even     Whether nothing printed is seen beside the side at a place along it, mm as printed.
 * @param pixels   px per mm; `reach`: how far from the guess a point may lie, mm.
 * @returns        Null where too few points are left.
 */
export function fittedSide(
  picture: Picture,
  shown: Shown,
  side: number,
  guess: SideLine,
  even: (s: number) => boolean,
  pixels: number,
  reach: number,
): FittedSide | null {
  const [nx, ny] = normalOf(side, guess.turn);
  const length = halfStraight(side, SIDE_FIT.margin);
  const points: (readonly [number, number])[] = [];
  for (let s = -length; s <= length; s += SIDE_FIT.pitch) {
    if (!even(s)) continue;
    const from = [guess.offset * nx - s * ny, guess.offset * ny + s * nx] as const;
    const steps = stepsAlong(picture, shown, from, [nx, ny], REACH_SEEN, pixels, 0);
    const near = steps.filter(({ at }) => Math.abs(at) < reach);
    if (near.length > 0) points.push([s, near.reduce((p, q) => (Math.abs(q.at) < Math.abs(p.at) ? q : p)).at]);
  }
  return points.length < SIDE_FIT.points ? null : lineThrough(points, guess);
}

/** Offset and slope by weighted least squares, weights after Cauchy. */
function lineThrough(points: readonly (readonly [number, number])[], guess: SideLine): FittedSide {
  let [middle, slope] = [median(points.map(([, at]) => at)), 0];
  let scatter = 0;
  for (let round = 0; round < ROUNDS; round++) {
    const errors = points.map(([s, at]) => at - middle - slope * s);
    scatter = Math.max(1e-4, 1.4826 * median(errors.map(Math.abs)));
    let [w0, w1, w2, y0, y1] = [0, 0, 0, 0, 0];
    points.forEach(([s, at], i) => {
      const w = 1 / (1 + (errors[i]! / (CAUCHY * scatter)) ** 2);
      w0 += w;
      w1 += w * s;
      w2 += w * s * s;
      y0 += w * at;
      y1 += w * s * at;
    });
    const det = w0 * w2 - w1 * w1;
    middle = (w2 * y0 - w1 * y1) / det;
    slope = (w0 * y1 - w1 * y0) / det;
  }
  const turn = Math.atan(slope);
  return {
    // A line that runs outwards along its length is turned the other way about its normal.
    turn: guess.turn - turn,
    offset: (guess.offset + middle) * Math.cos(turn),
    u: stretchDoubt(points, middle, slope),
    scatter,
  };
}

/** Standard error of the middle from the medians of stretches, each taken as one observation. */
function stretchDoubt(points: readonly (readonly [number, number])[], middle: number, slope: number): number {
  const each = Math.ceil(points.length / SIDE_FIT.stretches);
  const medians: number[] = [];
  for (let k = 0; k < points.length; k += each)
    medians.push(median(points.slice(k, k + each).map(([s, at]) => at - middle - slope * s)));
  const mean = medians.reduce((a, b) => a + b, 0) / medians.length;
  const variance = medians.reduce((a, b) => a + (b - mean) ** 2, 0) / Math.max(1, medians.length - 1);
  return Math.sqrt(variance / medians.length);
}
