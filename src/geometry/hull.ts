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

/** Nothing met yet. Its lengths are no whole numbers from the start, so that the machine's code for contacts need not be made anew. */
export const newContact = (): Contact => ({
  ...{ distance: NaN, ux: NaN, uy: NaN, uz: NaN },
  ...{ first: 0, second: 0, share: NaN },
});

/** Evaluations of the envelope after which a bracket that has not closed is taken as it is; 4 to 6 are usual. */
const MOST_STEPS = 60;

/** A ball that reaches nearer to a guessed contact than this, mm, is looked at exactly: far more than rounding. */
const CLEAR = 1e-9;
/** The same of the sum of all balls' places. */
const CLEAR_SIDE = 1e-6;

const NONE = new Float64Array(0);

/** Finds contacts with a hull of balls as {@link ContactFinder} does. */
export function contactFinder(
  balls: SeenBalls,
): (dx: number, dy: number, dz: number, out: Contact, first?: number, second?: number) => void {
  const finder = new ContactFinder(balls);
  // Bound, for a closure of its own would be compiled anew, all that it calls with it, for each finder.
  return finder.find.bind(finder);
}

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
export class ContactFinder {
  private n = 0;
  private centres: Float64Array = NONE;
  private radii: Float64Array = NONE;
  /** Sum of all balls' places. */
  private readonly sum = new Float64Array(3);
  /** Balls along the two axes across the ray. */
  private px = NONE;
  private py = NONE;
  /** Of these axes: x and z of the first, x, y, z of the second; a right-handed basis with the ray. */
  private readonly basis = new Float64Array(5);
  /** Cosine and sine of the contact's normal over them, and the share of its first ball. */
  private readonly met = new Float64Array(3);
  private readonly ends = new Int32Array(2);

  constructor(balls: SeenBalls) {
    this.turnTo(balls);
  }

  /** Finds contacts with these balls from here on. */
  turnTo({ count, centres, radii, crowns }: SeenBalls): void {
    this.n = count + (crowns?.count ?? 0);
    this.centres = crowns ? joined(centres, crowns.points) : centres;
    this.radii = crowns ? joined(radii, new Float64Array(crowns.count)) : radii;
    if (this.px.length < this.n) {
      this.px = new Float64Array(this.n);
      this.py = new Float64Array(this.n);
    }
    this.sum.fill(0);
    for (let i = 0; i < 3 * this.n; i++) this.sum[i % 3]! += this.centres[i]!;
  }

  /** Where the ray comes nearest, into `out`. */
  find(dx: number, dy: number, dz: number, out: Contact, first = -1, second = -1): void {
    const { basis, met, ends, px, py, radii } = this;
    // The ray is never along y for a camera that looks along z.
    const il = 1 / Math.sqrt(dz * dz + dx * dx);
    const ax = dz * il;
    const az = -dx * il;
    basis[0] = ax;
    basis[1] = az;
    basis[2] = dy * az;
    basis[3] = dz * ax - dx * az;
    basis[4] = -dy * ax;
    if (!this.clearlyHeld(first, second)) this.search(first, second);
    const i = ends[0]!;
    const j = ends[1]!;
    const c = met[0]!;
    const s = met[1]!;
    const share = met[2]!;
    out.distance = -(
      (px[i]! * c + py[i]! * s + radii[i]!) * share +
      (px[j]! * c + py[j]! * s + radii[j]!) * (1 - share)
    );
    out.ux = c * ax + s * basis[2];
    out.uy = s * basis[3];
    out.uz = c * az + s * basis[4];
    out.first = i;
    out.second = j;
    out.share = share;
  }

  /** Whether guessed balls carry the contact and no other comes near: then it stands where {@link guess} would put it. */
  private clearlyHeld(first: number, second: number): boolean {
    const { n, centres, radii, sum, basis, met, ends, px, py } = this;
    if (!(first >= 0 && first < n && second >= 0 && second < n)) return false;
    this.lay(first);
    this.lay(second);
    if (!this.guess(first, second)) return false;
    const c = met[0]!;
    const s = met[1]!;
    const ux = c * basis[0]! + s * basis[2]!;
    const uy = s * basis[3]!;
    const uz = c * basis[1]! + s * basis[4]!;
    if (!(ux * sum[0]! + uy * sum[1]! + uz * sum[2]! < -CLEAR_SIDE)) return false;
    const reach = px[first]! * c + py[first]! * s + radii[first]! - CLEAR;
    for (let k = 0, o = 0; k < n; k++, o += 3) {
      if (ux * centres[o]! + uy * centres[o + 1]! + uz * centres[o + 2]! + radii[k]! < reach) continue;
      if (k !== first && k !== second) return false;
    }
    ends[0] = first;
    ends[1] = second;
    return true;
  }

  private lay(i: number): void {
    const { centres, basis } = this;
    const x = centres[3 * i]!;
    const y = centres[3 * i + 1]!;
    const z = centres[3 * i + 2]!;
    this.px[i] = basis[0]! * x + basis[1]! * z;
    this.py[i] = basis[2]! * x + basis[3]! * y + basis[4]! * z;
  }

  /** Where two balls, or one, would carry the contact; false where they cannot: the envelope has to fall before it and to rise behind. */
  private guess(i: number, j: number): boolean {
    const { px, py, radii, met } = this;
    met[2] = 1;
    if (i === j) {
      const il = 1 / Math.sqrt(px[i]! * px[i]! + py[i]! * py[i]!);
      met[0] = -px[i]! * il;
      met[1] = -py[i]! * il;
      return true;
    }
    if (!crossing(px, py, radii, i, j, met)) return false;
    const c = met[0]!;
    const s = met[1]!;
    const fall = -px[i]! * s + py[i]! * c;
    const rise = -px[j]! * s + py[j]! * c;
    met[2] = rise - fall > 1e-15 ? rise / (rise - fall) : 1;
    return fall <= 0 && rise >= 0;
  }

  /** The ball that reaches furthest in a direction. */
  private top(c: number, s: number): number {
    const { n, px, py, radii } = this;
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
  }

  /** The contact with all balls looked at; the guess stands where none rises over it. */
  private search(first: number, second: number): void {
    const { n, met, ends, px, py, radii } = this;
    let mx = 0;
    let my = 0;
    for (let i = 0; i < n; i++) {
      this.lay(i);
      mx += px[i]!;
      my += py[i]!;
    }
    if (first >= 0 && first < n && second >= 0 && second < n && this.guess(first, second)) {
      const c = met[0]!;
      const s = met[1]!;
      const best = this.top(c, s);
      const held =
        first === second
          ? best === first
          : px[best]! * c + py[best]! * s + radii[best]! <= px[first]! * c + py[first]! * s + radii[first]! + 1e-12;
      ends[0] = first;
      ends[1] = second;
      // On the solid's far side the envelope may have other hollows.
      if (held && !(c * mx + s * my >= 0)) return;
    }
    this.descend(mx, my);
  }

  /** Starts away from the solid's middle, [mx, my] times some length; the least value lies within a right angle of it. */
  private descend(mx: number, my: number): void {
    const { met, ends, px, py, radii } = this;
    const length = Math.sqrt(mx * mx + my * my) || 1;
    let c = -mx / length;
    let s = -my / length;
    let i = this.top(c, s);
    let j = -1;
    let share = 1;
    // Balls on top at the bracket's ends: `lo` where h falls with the angle, `hi` where it rises.
    let lo = -1;
    let hi = -1;
    for (let step = 0; step < MOST_STEPS; step++) {
      if (-px[i]! * s + py[i]! * c < 0) lo = i;
      else hi = i;
      if (lo >= 0 && hi >= 0 && lo !== hi && crossing(px, py, radii, lo, hi, met)) {
        c = met[0]!;
        s = met[1]!;
        const best = this.top(c, s);
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
      const best = this.top(c, s);
      if (best === i) break;
      i = best;
    }
    met[0] = c;
    met[1] = s;
    met[2] = share;
    ends[0] = i;
    ends[1] = j < 0 ? i : j;
  }
}

function joined(a: Float64Array, b: Float64Array): Float64Array {
  const out = new Float64Array(a.length + b.length);
  out.set(a);
  out.set(b, a.length);
  return out;
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
