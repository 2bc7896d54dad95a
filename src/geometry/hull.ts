/** Balls in the camera frame: the hull of them is what is seen. */
export interface SeenBalls {
  readonly count: number;
  /** [x, y, z] per ball, mm, camera frame. */
  readonly centres: Float64Array;
  readonly radii: Float64Array;
}

/** Where a viewing ray comes nearest to a hull of balls. Filled anew by each call. */
export interface Contact {
  /** Signed distance of the ray from the solid, mm; positive outside. */
  distance: number;
  /** Outward unit normal of the solid there, perpendicular to the ray, camera frame. */
  ux: number;
  uy: number;
  uz: number;
  /** The two balls that carry the point, and the share of the first; the same ball twice where one carries it alone. */
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
 */
export function contactFinder(balls: SeenBalls): (dx: number, dy: number, dz: number, out: Contact) => void {
  const { count: n, centres, radii } = balls;
  const px = new Float64Array(n);
  const py = new Float64Array(n);
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
  return (dx, dy, dz, out) => {
    // (a, b, ray) is a right-handed basis; the ray is never along y for a camera that looks along z.
    const il = 1 / Math.hypot(dz, dx);
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
    // Start away from the solid's middle; the least value lies within a right angle of it.
    const length = Math.hypot(mx, my) || 1;
    let c = -mx / length;
    let s = -my / length;
    let i = top(c, s);
    let j = i;
    let share = 1;
    // Unit vectors at the bracket's ends and the balls on top there: `lo` where h falls with the angle, `hi` where it rises.
    let lo = -1;
    let hi = -1;
    for (let step = 0; step < MOST_STEPS; step++) {
      const slope = -px[i]! * s + py[i]! * c;
      if (slope < 0) lo = i;
      else hi = i;
      if (lo >= 0 && hi >= 0 && lo !== hi) {
        // Where the two cosines cross: (P_lo - P_hi) . u = r_hi - r_lo, the crossing on this side.
        const qx = px[lo]! - px[hi]!;
        const qy = py[lo]! - py[hi]!;
        const q2 = qx * qx + qy * qy;
        const k = (radii[hi]! - radii[lo]!) / q2;
        const t2 = 1 / q2 - k * k;
        // Balls one behind the other, alike but for rounding, cross nowhere; q2 may then be 0 and t2 no number.
        if (t2 >= 0) {
          const t = Math.sqrt(t2);
          // Two crossings: the one at which lo falls and hi rises.
          let nc = k * qx - t * qy;
          let ns = k * qy + t * qx;
          if (-px[lo]! * ns + py[lo]! * nc > -px[hi]! * ns + py[hi]! * nc) {
            nc = k * qx + t * qy;
            ns = k * qy - t * qx;
          }
          c = nc;
          s = ns;
          const best = top(c, s);
          const crossing = px[lo]! * c + py[lo]! * s + radii[lo]!;
          if (px[best]! * c + py[best]! * s + radii[best]! > crossing + 1e-12) {
            i = best;
            continue;
          }
          const dLo = -px[lo]! * s + py[lo]! * c;
          const dHi = -px[hi]! * s + py[hi]! * c;
          // The crossing is the least value only if the slope changes sign there; else the foot of one of them is.
          if (dLo <= 0 && dHi >= 0) {
            i = lo;
            j = hi;
            share = dHi - dLo > 1e-15 ? dHi / (dHi - dLo) : 1;
            break;
          }
          i = dLo > 0 ? lo : hi;
        }
      }
      // Try the foot of the cosine on top here.
      const foot = Math.hypot(px[i]!, py[i]!);
      if (foot > 0) {
        c = -px[i]! / foot;
        s = -py[i]! / foot;
      }
      const best = top(c, s);
      if (best === i) {
        j = i;
        share = 1;
        break;
      }
      i = best;
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
