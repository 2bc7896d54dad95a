import type { SeenCrowns } from './crown.ts';

/** Balls in the camera frame: the hull of them is what is seen. */
export interface SeenBalls {
  readonly count: number;
  /** [x, y, z] per ball, mm, camera frame. */
  readonly centres: Float64Array;
  readonly radii: Float64Array;
  /** Points of crowned faces' ridges, which join the hull. */
  readonly crowns?: SeenCrowns;
}

/** Where a viewing ray comes nearest to a hull of balls. Filled anew by each call. */
export interface Contact {
  /** Signed distance of the ray from the solid, mm; positive outside. */
  distance: number;
  /** Outward unit normal of the solid there, perpendicular to the ray, camera frame. */
  ux: number;
  uy: number;
  uz: number;
  /**
   * The two balls that carry the point, and the share of the first; the same ball twice where one carries it alone. A number of `count`
   * or more is that of a crown's point, counted on.
   */
  first: number;
  second: number;
  share: number;
}

export const newContact = (): Contact => ({ distance: 0, ux: 0, uy: 0, uz: 0, first: 0, second: 0, share: 1 });

/** Evaluations of the envelope after which a bracket that has not closed is taken as it is; 4 to 6 are usual. */
const MOST_STEPS = 60;

/**
 * Signed distances from viewing rays to one hull of balls.
 *
 * For a direction u perpendicular to the ray, h(u) = max over balls of (u . centre + radius) is how far the solid reaches past the
 * ray; the distance is minus its least value. Over the angle of u, h is the upper envelope of cosines, so the least value lies at
 * the foot of one of them or where two cross, and the bracket closes on it in a few exact steps.
 *
 * Valid for rays outside the solid or near its outline (nearer than its thinnest half).
 *
 * A guess (the balls that carried a neighbouring ray's contact, as `first` and `second` of it) is tried first: where it holds, one look
 * at all balls is enough.
 */
// Long because it is hot: its steps share the arrays of one ray, and a call for each would cost more than the step.
export function contactFinder(
  balls: SeenBalls,
): (dx: number, dy: number, dz: number, out: Contact, first?: number, second?: number) => void {
  const { crowns } = balls;
  const n = balls.count + (crowns?.count ?? 0);
  const centres = crowns ? Float64Array.of(...balls.centres, ...crowns.points) : balls.centres;
  const radii = crowns ? Float64Array.of(...balls.radii, ...new Float64Array(crowns.count)) : balls.radii;
  const px = new Float64Array(n);
  const py = new Float64Array(n);
  const angle = new Float64Array(2);
  const top = (c: number, s: number): number => {
    let best = 0;
    let value = -Infinity;
    for (let i = 0; i < n; i++) {
      const v = px[i]! * c + py[i]! * s + radii[i]!;
      if (v > value) {
        value = v;
        best = i;
      }
    }
    return best;
  };
  return (dx, dy, dz, out, guessed = -1, guessedToo = -1) => {
    // (a, b, ray) is a right-handed basis; the ray is never along y for a camera that looks along z.
    const il = 1 / Math.sqrt(dz * dz + dx * dx);
    const ax = dz * il;
    const az = -dx * il;
    const bx = dy * az;
    const by = dz * ax - dx * az;
    const bz = -dy * ax;
    let mx = 0;
    let my = 0;
    for (let i = 0; i < n; i++) {
      px[i] = ax * centres[3 * i]! + az * centres[3 * i + 2]!;
      py[i] = bx * centres[3 * i]! + by * centres[3 * i + 1]! + bz * centres[3 * i + 2]!;
      mx += px[i]!;
      my += py[i]!;
    }
    let c = 0;
    let s = 0;
    let i = guessed;
    let j = guessedToo;
    let share = 1;
    let lo = -1;
    let hi = -1;
    let held = false;
    if (i >= 0 && i < n && j >= 0 && j < n) {
      // The guess is the answer if nothing rises over it, and the envelope falls before it and rises behind.
      if (i === j) {
        const il = 1 / Math.sqrt(px[i]! * px[i]! + py[i]! * py[i]!);
        c = -px[i]! * il;
        s = -py[i]! * il;
        held = top(c, s) === i;
      } else if (crossing(px, py, radii, i, j, angle)) {
        c = angle[0]!;
        s = angle[1]!;
        const best = top(c, s);
        const fall = -px[i]! * s + py[i]! * c;
        const rise = -px[j]! * s + py[j]! * c;
        held =
          fall <= 0 &&
          rise >= 0 &&
          px[best]! * c + py[best]! * s + radii[best]! <= px[i]! * c + py[i]! * s + radii[i]! + 1e-12;
        share = rise - fall > 1e-15 ? rise / (rise - fall) : 1;
      }
    }
    // On the solid's far side the envelope may have other hollows.
    if (!held || c * mx + s * my >= 0) {
      // Start away from the solid's middle; the least value lies within a right angle of it.
      const length = Math.sqrt(mx * mx + my * my) || 1;
      c = -mx / length;
      s = -my / length;
      i = top(c, s);
      j = -1;
      // Balls on top at the bracket's ends: `lo` where h falls with the angle, `hi` where it rises.
      for (let step = 0; step < MOST_STEPS; step++) {
        if (-px[i]! * s + py[i]! * c < 0) lo = i;
        else hi = i;
        if (lo >= 0 && hi >= 0 && lo !== hi && crossing(px, py, radii, lo, hi, angle)) {
          c = angle[0]!;
          s = angle[1]!;
          const best = top(c, s);
          const height = px[lo]! * c + py[lo]! * s + radii[lo]!;
          if (px[best]! * c + py[best]! * s + radii[best]! > height + 1e-12) {
            i = best;
            continue;
          }
          const fall = -px[lo]! * s + py[lo]! * c;
          const rise = -px[hi]! * s + py[hi]! * c;
          // The crossing is the least value only if the slope changes sign there; else the foot of one of them is.
          if (fall <= 0 && rise >= 0) {
            i = lo;
            j = hi;
            share = rise - fall > 1e-15 ? rise / (rise - fall) : 1;
            break;
          }
          i = fall > 0 ? lo : hi;
        }
        // Try the foot of the cosine on top here.
        const foot = Math.sqrt(px[i]! * px[i]! + py[i]! * py[i]!);
        if (foot > 0) {
          c = -px[i]! / foot;
          s = -py[i]! / foot;
        }
        const best = top(c, s);
        if (best === i) break;
        i = best;
      }
      if (j < 0) {
        j = i;
        share = 1;
      }
    }
    out.distance = -(
      (px[i]! * c + py[i]! * s + radii[i]!) * share +
      (px[j]! * c + py[j]! * s + radii[j]!) * (1 - share)
    );
    out.ux = c * ax + s * bx;
    out.uy = s * by;
    out.uz = c * az + s * bz;
    out.first = i;
    out.second = j;
    out.share = share;
  };
}

/**
 * Where the cosine of `lo`, which falls, meets that of `hi`, which rises: (P_lo - P_hi) . u = r_hi - r_lo. False where they do not.
 *
 * Balls one behind the other, alike but for rounding, meet nowhere.
 */
function crossing(
  px: Float64Array,
  py: Float64Array,
  radii: Float64Array,
  lo: number,
  hi: number,
  angle: Float64Array,
): boolean {
  const qx = px[lo]! - px[hi]!;
  const qy = py[lo]! - py[hi]!;
  const q2 = qx * qx + qy * qy;
  const k = (radii[hi]! - radii[lo]!) / q2;
  const t2 = 1 / q2 - k * k;
  // q2 may be 0, t2 then no number.
  if (!(t2 >= 0)) return false;
  const t = Math.sqrt(t2);
  let c = k * qx - t * qy;
  let s = k * qy + t * qx;
  if (-px[lo]! * s + py[lo]! * c > -px[hi]! * s + py[hi]! * c) {
    c = k * qx + t * qy;
    s = k * qy - t * qx;
  }
  angle[0] = c;
  angle[1] = s;
  return true;
}
