import type { Hand, Table } from './tables.ts';
import type { ThrowBody } from './throw-body.ts';
import { ThrowRandom } from './throw-random.ts';

/*
 * The throw itself, in one file: where a loader turns imports into look-ups, as the test runner does, an imported constant costs one at
 * every use, and the loops below are nothing but such uses (up to four times slower when they were spread over files). Groups of like
 * lines stand side by side on purpose.
 *
 * State of a die, in the body's own frame, centre of mass at the origin, mass 1, mm and s. World up (ZX..), velocity (VX..) and spin
 * momentum (LX..) stand still in the world during flight except for gravity, so in the body's frame they only turn.
 */
const ZX = 0, ZY = 1, ZZ = 2, VX = 3, VY = 4, VZ = 5, LX = 6, LY = 7, LZ = 8; // prettier-ignore
/** Height of the centre of mass over the table, mm; energy after the last impact, mm^2/s^2; time for which balls out of the near list cannot reach the table, s. */
const H = 9, ENERGY = 10, HORIZON = 11; // prettier-ignore
/** Since the table was first touched: time s, path of the centre of mass mm; impulses and steps; largest rise of energy, a share. */
const TIME = 12, PATH = 13, IMPACTS = 14, STEPS = 15, GAIN = 16, STATE = 17; // prettier-ignore

/** Standard gravity, mm/s^2 (ISO 80000-3). */
export const GRAVITY = 9806.65;
/** A contact is looked for at half this depth, mm; what stands no higher than the table touches it. */
const TOUCH = 3e-3;
/** Impacts that would rebound slower than this do not rebound but stay in contact, mm/s: a hop of 1.3 um. */
const LEAST_REBOUND = 5;
/** Closing speed that a touching ball is left with, mm/s. */
const AT_REST = 0.3;
/** Closing speed that a step in contact may leave, mm/s per s of step. */
const LEFT_OVER = 0.05 * GRAVITY;
/** Longest step in contact, s and rad, and shortest. */
const CONTACT_TIME = 1.5e-3, CONTACT_TURN = 0.04, LEAST_STEP = 2e-5; // prettier-ignore
/** Longest turn in one step, rad: near the table, and clear of it. */
const TURN = 0.8, CLEAR_TURN = 1; // prettier-ignore
/** Time that a fresh near list should serve, s. */
const LIST_TIME = 0.007;
/** Most impacts resolved in one moment, and most steps of one throw. */
const SWEEPS = 16, MOST_STEPS = 20000; // prettier-ignore

/** One throw that has been decided. */
export interface Throw {
  /** Face that lies down. */
  readonly face: number;
  /** From the first touch until no way out is left, s. */
  readonly time: number;
  /** Horizontal way in that time, mm. */
  readonly path: number;
  readonly impacts: number;
  readonly steps: number;
  /** Largest rise of the energy from one impact to the next, as a share of it; 0 if it never rose. */
  readonly energyGain: number;
  /** False where the die still moved after 20000 steps and the face below was taken. */
  readonly settled: boolean;
}

interface Airborne {
  readonly s: Float64Array;
  /** Offsets of the balls that may touch within the horizon. */
  readonly near: Int32Array;
  nearCount: number;
  /** Room for the offsets of those that touch. */
  readonly touching: Int32Array;
  /** Whether the table carries it. */
  rests: boolean;
  /** Whether the time that {@link nextTouch} gave ends in a touch. */
  touches: boolean;
  /** Length of the step in contact under way, s; 0 in flight. */
  step: number;
  /** Room for the motion between two steps, laid out as `s`. */
  readonly middle: Float64Array;
}

const airborne = (balls: number): Airborne => ({
  s: new Float64Array(STATE),
  near: new Int32Array(balls),
  nearCount: 0,
  touching: new Int32Array(balls),
  rests: false,
  touches: false,
  step: 0,
  middle: new Float64Array(STATE),
});

/**
 * A thrower of one body: `thrower(body, table, hand)(seed, index)` is throw `index` of the run with that seed, always the same.
 *
 * A rigid body on a rigid plane. Flight is exact between contacts; impacts follow Chatterjee and Ruina (J. Appl. Mech. 65, 1998).
 * A throw is decided when its energy is below the lowest pass out of the face it lies over.
 */
export function thrower(body: ThrowBody, table: Table, hand: Hand): (seed: number, index: number) => Throw {
  const die = airborne(body.balls.length / 4);
  const random = new ThrowRandom();
  const passes = body.passes.map((p) => p * GRAVITY);
  const highest = Math.max(...passes);
  return (seed, index) => {
    random.start(seed, index);
    release(body, hand, random, die.s);
    die.rests = false;
    die.step = 0;
    return decide(body, table, die, passes, highest);
  };
}

function decide(body: ThrowBody, table: Table, die: Airborne, passes: Float64Array, highest: number): Throw {
  const s = die.s;
  let face = -1;
  while (face < 0 && s[STEPS] < MOST_STEPS) {
    if (die.rests) slide(body, table, die);
    else if (!fly(body, table, die)) continue;
    if (s[ENERGY] < highest) {
      const below = faceBelow(body, s);
      if (s[ENERGY] < passes[below]) face = below;
    }
  }
  const settled = face >= 0;
  return { face: settled ? face : faceBelow(body, s), time: s[TIME], path: s[PATH], impacts: s[IMPACTS], steps: s[STEPS], energyGain: s[GAIN], settled }; // prettier-ignore
}

/** Flies to the next touch and rebounds; false where the step ended without one. */
function fly(body: ThrowBody, table: Table, die: Airborne): boolean {
  const s = die.s;
  const over = s[H] - body.reach;
  if (over > 0) {
    const vz = s[VX] * s[ZX] + s[VY] * s[ZY] + s[VZ] * s[ZZ];
    const clear = (vz + Math.sqrt(vz * vz + 2 * GRAVITY * over)) / GRAVITY;
    if (clear > LIST_TIME) {
      turn(body, s, GRAVITY, Math.min(clear, Math.min(CLEAR_TURN, body.steadyTurn) / spin(body, s)));
      s[HORIZON] = 0;
      return false;
    }
  }
  turn(body, s, GRAVITY, nextTouch(body, die, GRAVITY, Infinity));
  if (!die.touches) return false;
  die.rests = resolveContacts(body, die, table, 0);
  setEnergy(s, energy(body, s, s));
  return true;
}

/**
 * One step in contact, by leapfrog: the velocities in the state are those of the step's middle, contacts included. The way without gravity,
 * then gravity and the contacts' answer to it from this middle to the next; where a new ball arrives or nothing presses any more, to the end.
 */
function slide(body: ThrowBody, table: Table, die: Airborne): void {
  const s = die.s;
  if (die.step === 0) {
    const first = contactStep(body, die);
    kick(s, 0.5 * first);
    if (resolveContacts(body, die, table, first)) die.step = first;
    else {
      kick(s, -0.5 * first);
      endContact(body, die, false);
    }
    return;
  }
  const step = die.step;
  turn(body, s, 0, step);
  if (die.touches) {
    kick(s, 0.5 * step);
    return endContact(body, die, resolveContacts(body, die, table, step));
  }
  const next = contactStep(body, die);
  const { middle } = die;
  for (let i = VX; i <= LZ; i++) middle[i] = s[i];
  kick(s, 0.5 * (step + next));
  if (!resolveContacts(body, die, table, next)) {
    for (let i = VX; i <= LZ; i++) s[i] = middle[i];
    kick(s, 0.5 * step);
    return endContact(body, die, false);
  }
  const f = step / (step + next);
  for (let i = VX; i <= LZ; i++) middle[i] += f * (s[i] - middle[i]);
  keepEnergy(s, energy(body, s, middle));
  die.step = next;
}

function endContact(body: ThrowBody, die: Airborne, rests: boolean): void {
  die.rests = rests;
  die.step = 0;
  keepEnergy(die.s, energy(body, die.s, die.s));
}

/** Length of the next step in contact; sets whether a new ball arrives at its end. */
function contactStep(body: ThrowBody, die: Airborne): number {
  return Math.max(nextTouch(body, die, 0, Math.min(CONTACT_TIME, CONTACT_TURN / spin(body, die.s))), LEAST_STEP);
}

/** Gravity of a time `t` at once. */
function kick(s: Float64Array, t: number): void {
  const g = GRAVITY * t;
  s[VX] -= g * s[ZX];
  s[VY] -= g * s[ZY];
  s[VZ] -= g * s[ZZ];
}

/** Books the energy; the rounding of a step in contact is taken out of all motion alike, or where there is too little, out of the height. */
function keepEnergy(s: Float64Array, now: number): void {
  const surplus = 1.0000001 * (now - s[ENERGY]);
  if (surplus <= 0) return setEnergy(s, now);
  const share = surplus / (now - GRAVITY * s[H]);
  if (share < 0.02) {
    const f = Math.sqrt(1 - share);
    for (let i = VX; i <= LZ; i++) s[i] *= f;
  } else s[H] -= surplus / GRAVITY;
}

function setEnergy(s: Float64Array, now: number): void {
  if (now > s[ENERGY]) s[GAIN] = Math.max(s[GAIN], now / s[ENERGY] - 1);
  s[ENERGY] = now;
}

/** A throw starts where the sphere round the die meets the table: until then its attitude stays evenly spread. */
function release(body: ThrowBody, hand: Hand, random: ThrowRandom, s: Float64Array): void {
  // Even attitude: a unit quaternion from two points in the unit disc (Marsaglia, Ann. Math. Stat. 43, 1972, 645).
  let a: number, b: number, c: number, d: number, p: number, q: number;
  do { a = random.signed(); b = random.signed(); p = a * a + b * b; } while (p >= 1); // prettier-ignore
  do { c = random.signed(); d = random.signed(); q = c * c + d * d; } while (q >= 1 || q === 0); // prettier-ignore
  const f = Math.sqrt((1 - p) / q);
  c *= f;
  d *= f;
  const r00 = 1 - 2 * (c * c + d * d), r01 = 2 * (b * c - a * d), r02 = 2 * (b * d + a * c); // prettier-ignore
  const r10 = 2 * (b * c + a * d), r11 = 1 - 2 * (b * b + d * d), r12 = 2 * (c * d - a * b); // prettier-ignore
  const r20 = 2 * (b * d - a * c), r21 = 2 * (c * d + a * b), r22 = 1 - 2 * (b * b + c * c); // prettier-ignore
  const height = hand.height[0] + (hand.height[1] - hand.height[0]) * random.uniform();
  const along = hand.along[0] + hand.along[1] * random.bell();
  const up = hand.up[0] + hand.up[1] * random.bell();
  const down = -Math.sqrt(Math.max(100, up * up + 2 * GRAVITY * (height - body.reach)));
  const I = body.inertia;
  const k = ((I[0] + I[1] + I[2]) / 3) * hand.spin;
  const l0 = k * random.bell(), l1 = k * random.bell(), l2 = k * random.bell(); // prettier-ignore
  s[ZX] = r20;
  s[ZY] = r21;
  s[ZZ] = r22;
  s[VX] = r00 * along + r20 * down;
  s[VY] = r01 * along + r21 * down;
  s[VZ] = r02 * along + r22 * down;
  s[LX] = r00 * l0 + r10 * l1 + r20 * l2;
  s[LY] = r01 * l0 + r11 * l1 + r21 * l2;
  s[LZ] = r02 * l0 + r12 * l1 + r22 * l2;
  s[H] = body.reach;
  s[HORIZON] = 0;
  s[TIME] = 0;
  s[PATH] = 0;
  s[IMPACTS] = 0;
  s[STEPS] = 0;
  s[GAIN] = 0;
  s[ENERGY] = energy(body, s, s);
}

/** Energy at the height of `s` with the motion of `m`. */
function energy(body: ThrowBody, s: Float64Array, m: Float64Array): number {
  const J = body.inverseInertia;
  const lx = m[LX], ly = m[LY], lz = m[LZ]; // prettier-ignore
  const spin = lx * (J[0] * lx + 2 * (J[3] * ly + J[4] * lz)) + ly * (J[1] * ly + 2 * J[5] * lz) + J[2] * lz * lz;
  return 0.5 * (m[VX] * m[VX] + m[VY] * m[VY] + m[VZ] * m[VZ] + spin) + GRAVITY * s[H];
}

/** Face through which the ray straight down from the centre of mass leaves. */
function faceBelow(body: ThrowBody, s: Float64Array): number {
  const F = body.faces;
  const zx = s[ZX], zy = s[ZY], zz = s[ZZ]; // prettier-ignore
  let most = -Infinity, at = 0; // prettier-ignore
  for (let i = 0, q = 0; q < F.length; i++, q += 4) {
    const v = -(F[q] * zx + F[q + 1] * zy + F[q + 2] * zz) * F[q + 3];
    if (v > most) { most = v; at = i; } // prettier-ignore
  }
  return at;
}

/** Speed of spin, rad/s, never 0. */
function spin(body: ThrowBody, s: Float64Array): number {
  const J = body.inverseInertia;
  const lx = s[LX], ly = s[LY], lz = s[LZ]; // prettier-ignore
  const wx = J[0] * lx + J[3] * ly + J[4] * lz, wy = J[3] * lx + J[1] * ly + J[5] * lz, wz = J[4] * lx + J[5] * ly + J[2] * lz; // prettier-ignore
  return Math.sqrt(wx * wx + wy * wy + wz * wz) + 1e-9;
}

/**
 * Time until a ball touches the table, the near list runs out or the die has turned by {@link TURN}, whichever is first, at most `limit`;
 * sets `touches`. Without gravity balls that touch already do not count.
 *
 * While the spin w is constant the height of a ball is z(t) + A(t) p.c + B(t) p.q, c = up x w, q = c x w, A = sin(wt)/w,
 * B = (1 - cos wt)/w^2: a contact is found on a scalar function.
 */
function nextTouch(body: ThrowBody, die: Airborne, gravity: number, limit: number): number {
  const s = die.s;
  const J = body.inverseInertia;
  const zx = s[ZX], zy = s[ZY], zz = s[ZZ], lx = s[LX], ly = s[LY], lz = s[LZ], z = s[H]; // prettier-ignore
  const wx = J[0] * lx + J[3] * ly + J[4] * lz, wy = J[3] * lx + J[1] * ly + J[5] * lz, wz = J[4] * lx + J[5] * ly + J[2] * lz; // prettier-ignore
  const vz = s[VX] * zx + s[VY] * zy + s[VZ] * zz;
  const w2 = wx * wx + wy * wy + wz * wz;
  const w = Math.sqrt(w2) + 1e-9;
  if (s[HORIZON] <= 0) listNear(body, die);
  let t = Math.min(Math.min(TURN, body.steadyTurn) / w, s[HORIZON], limit);
  const cx = zy * wz - zz * wy, cy = zz * wx - zx * wz, cz = zx * wy - zy * wx; // prettier-ignore
  let qx = cy * wz - cz * wy, qy = cz * wx - cx * wz, qz = cx * wy - cy * wx, jerk = 0; // prettier-ignore
  if (body.steadyTurn < Infinity) {
    // The spin's own change, up x J (L x w), makes the height exact to the second order; the bound pays for the third.
    const mx = ly * wz - lz * wy, my = lz * wx - lx * wz, mz = lx * wy - ly * wx; // prettier-ignore
    const ax = J[0] * mx + J[3] * my + J[4] * mz, ay = J[3] * mx + J[1] * my + J[5] * mz, az = J[4] * mx + J[5] * my + J[2] * mz; // prettier-ignore
    qx += zy * az - zz * ay;
    qy += zz * ax - zx * az;
    qz += zx * ay - zy * ax;
    jerk = w * Math.sqrt(ax * ax + ay * ay + az * az) * body.reach;
  }
  const { balls } = body;
  const { near, nearCount } = die;
  let touches = false;
  // No ball comes down farther than this within the step.
  let within = t * (w * body.reach - vz + 0.5 * gravity * t);
  for (let i = 0; i < nearCount; i++) {
    const o = near[i];
    const px = balls[o], py = balls[o + 1], pz = balls[o + 2]; // prettier-ignore
    const g = z + px * zx + py * zy + pz * zz - balls[o + 3];
    if (g > within || (gravity === 0 && g <= 0)) continue;
    const b = px * cx + py * cy + pz * cz;
    const c = px * qx + py * qy + pz * qz;
    const bend = (w * (Math.abs(c) + w * Math.abs(b))) / 3 + jerk;
    const a = gravity - c + bend * t;
    const u = vz + b;
    // The height never falls below this parabola within the step.
    if (a > 0 ? g > 0 && g + t * (u - 0.5 * a * t) > 0 : u >= 0) continue;
    const hit = touchTime(g, vz, b, c, w2, bend, t, gravity);
    if (hit < t) { t = hit; touches = true; within = t * (w * body.reach - vz + 0.5 * gravity * t); } // prettier-ignore
  }
  die.touches = touches;
  return t;
}

/**
 * Time of the first touch within `limit`, else `limit`, for a ball `gap` over the table. Conservative advancement: each step is the root
 * of a parabola that the height cannot fall below, so no touch is passed.
 */
function touchTime(
  gap: number,
  vz: number,
  b: number,
  c: number,
  w2: number,
  bend: number,
  limit: number,
  gravity: number,
): number {
  let t = 0;
  for (let i = 0; i < 30; i++) {
    const x = w2 * t * t;
    const A = t * (1 - x * (1 / 6 - x * (1 / 120 - x / 5040)));
    const B = t * t * (0.5 - x * (1 / 24 - x * (1 / 720 - x / 40320)));
    const cos = 1 - w2 * B;
    const depth = -(gap + t * (vz - 0.5 * gravity * t) + b * A + c * B);
    const u = gravity * t - vz - b * cos - c * A;
    if (depth >= 0.5 * TOUCH && u > AT_REST) return t;
    const a = gravity + w2 * A * b - c * cos + bend * (limit - t);
    let g = TOUCH - depth;
    if (g < 0.2 * TOUCH) {
      if (u < -AT_REST) {
        // Leaving from this depth: it comes back to it.
        if (a <= 0) return limit;
        t -= (2 * u) / a;
        if (t >= limit) return limit;
        continue;
      }
      g = 0.2 * TOUCH;
    }
    const d = u * u + 2 * a * g;
    if (d <= 0) return limit;
    const e = u + Math.sqrt(d);
    if (e <= 0) return limit;
    t += (2 * g) / e;
    if (t >= limit) return limit;
  }
  return t;
}

/** Moves the state on by `t`: gravity, and every vector of the world turned by minus the die's own turn. */
function turn(body: ThrowBody, s: Float64Array, gravity: number, t: number): void {
  const J = body.inverseInertia;
  const lx = s[LX], ly = s[LY], lz = s[LZ]; // prettier-ignore
  let wx = J[0] * lx + J[3] * ly + J[4] * lz, wy = J[3] * lx + J[1] * ly + J[5] * lz, wz = J[4] * lx + J[5] * ly + J[2] * lz; // prettier-ignore
  if (body.steadyTurn < Infinity) {
    // Implicit midpoint: about the axis J (L0 + L1) / 2 a turn by any angle keeps the energy of spin; h is tan(wt/2)/w.
    const q = (wx * wx + wy * wy + wz * wz) * t * t;
    const h = 0.5 * t * (1 + q * (1 / 12 + q * (1 / 120 + (17 * q) / 20160)));
    let mx = lx, my = ly, mz = lz; // prettier-ignore
    for (let i = 0; i < 4; i++) {
      const ax = lx + h * (my * wz - mz * wy), ay = ly + h * (mz * wx - mx * wz), az = lz + h * (mx * wy - my * wx); // prettier-ignore
      mx = ax;
      my = ay;
      mz = az;
      wx = J[0] * mx + J[3] * my + J[4] * mz;
      wy = J[3] * mx + J[1] * my + J[5] * mz;
      wz = J[4] * mx + J[5] * my + J[2] * mz;
    }
  }
  const x = (wx * wx + wy * wy + wz * wz) * t * t;
  const A = t * (1 - x * (1 / 6 - x * (1 / 120 - x * (1 / 5040 - x * (1 / 362880 - x / 39916800)))));
  const B = t * t * (0.5 - x * (1 / 24 - x * (1 / 720 - x * (1 / 40320 - x * (1 / 3628800 - x / 479001600)))));
  const fall = gravity * t;
  let ax = s[ZX], ay = s[ZY], az = s[ZZ]; // prettier-ignore
  const vx = s[VX], vy = s[VY], vz = s[VZ]; // prettier-ignore
  const up = vx * ax + vy * ay + vz * az;
  const level = vx * vx + vy * vy + vz * vz - up * up;
  s[H] += t * (up - 0.5 * fall);
  s[TIME] += t;
  s[PATH] += level > 0 ? Math.sqrt(level) * t : 0;
  s[HORIZON] -= t;
  s[STEPS]++;
  let cx = ay * wz - az * wy, cy = az * wx - ax * wz, cz = ax * wy - ay * wx; // prettier-ignore
  ax += A * cx + B * (cy * wz - cz * wy);
  ay += A * cy + B * (cz * wx - cx * wz);
  az += A * cz + B * (cx * wy - cy * wx);
  s[ZX] = ax;
  s[ZY] = ay;
  s[ZZ] = az;
  cx = vy * wz - vz * wy;
  cy = vz * wx - vx * wz;
  cz = vx * wy - vy * wx;
  s[VX] = vx + A * cx + B * (cy * wz - cz * wy) - fall * ax;
  s[VY] = vy + A * cy + B * (cz * wx - cx * wz) - fall * ay;
  s[VZ] = vz + A * cz + B * (cx * wy - cy * wx) - fall * az;
  if (body.steadyTurn === Infinity) return;
  cx = ly * wz - lz * wy;
  cy = lz * wx - lx * wz;
  cz = lx * wy - ly * wx;
  s[LX] = lx + A * cx + B * (cy * wz - cz * wy);
  s[LY] = ly + A * cy + B * (cz * wx - cx * wz);
  s[LZ] = lz + A * cz + B * (cx * wy - cy * wx);
}

/** Lists the balls that could reach the table within about {@link LIST_TIME}, from what the energy allows them to move. */
function listNear(body: ThrowBody, die: Airborne): void {
  const { s, near } = die;
  const { balls } = body;
  const inPlay = s[ENERGY] - GRAVITY * body.low;
  const fastest = Math.sqrt(2 * (inPlay > 0 ? inPlay : 0)) * body.speedFactor + 1;
  const margin = fastest * LIST_TIME;
  const zx = s[ZX], zy = s[ZY], zz = s[ZZ], z = s[H]; // prettier-ignore
  let count = 0, far = Infinity, lowest = Infinity; // prettier-ignore
  for (let o = 0; o < balls.length; o += 4) {
    const g = z + balls[o] * zx + balls[o + 1] * zy + balls[o + 2] * zz - balls[o + 3];
    if (g < margin) {
      near[count] = o;
      // The lowest first: what it finds shortens the search of the others.
      if (g < lowest) { near[count] = near[0]; near[0] = o; lowest = g; }
      count++;
    }
    else if (g < far) far = g; // prettier-ignore
  }
  die.nearCount = count;
  s[HORIZON] = far / fastest;
}

/**
 * Impulses at the touching balls, the fastest closing first, until none closes; returns whether a contact stays.
 *
 * @param step  In contact, s: a ball may then close as fast as its turning about the others lifts it on the step's half way; 0 in flight.
 */
function resolveContacts(body: ThrowBody, die: Airborne, table: Table, step: number): boolean {
  const { s, near, nearCount } = die;
  const { balls, inverseInertia: J } = body;
  const zx = s[ZX], zy = s[ZY], zz = s[ZZ], z = s[H]; // prettier-ignore
  const { touching } = die;
  let count = 0, stays = false; // prettier-ignore
  for (let i = 0; i < nearCount; i++) {
    const o = near[i];
    if (z + balls[o] * zx + balls[o + 1] * zy + balls[o + 2] * zz - balls[o + 3] <= 0) touching[count++] = o;
  }
  for (let sweep = 0; sweep < SWEEPS; sweep++) {
    const lx = s[LX], ly = s[LY], lz = s[LZ]; // prettier-ignore
    const wx = J[0] * lx + J[3] * ly + J[4] * lz, wy = J[3] * lx + J[1] * ly + J[5] * lz, wz = J[4] * lx + J[5] * ly + J[2] * lz; // prettier-ignore
    const vz = s[VX] * zx + s[VY] * zy + s[VZ] * zz;
    const cx = zy * wz - zz * wy, cy = zz * wx - zx * wz, cz = zx * wy - zy * wx; // prettier-ignore
    const qx = cy * wz - cz * wy, qy = cz * wx - cx * wz, qz = cx * wy - cy * wx; // prettier-ignore
    let fastest = 0.5 * AT_REST + LEFT_OVER * step, at = -1, allowed = 0; // prettier-ignore
    for (let i = 0; i < count; i++) {
      const o = touching[i];
      const px = balls[o], py = balls[o + 1], pz = balls[o + 2]; // prettier-ignore
      const lift = 0.5 * step * (px * qx + py * qy + pz * qz);
      const u = -(vz + px * cx + py * cy + pz * cz) - lift;
      if (u > fastest) { fastest = u; at = o; allowed = lift; } // prettier-ignore
    }
    if (at < 0) return stays;
    s[IMPACTS]++;
    if (impact(body, s, table, at, allowed)) stays = true;
  }
  return stays;
}

/**
 * One impulse at the ball at offset `o`: P = (1 + e) P_I + (1 + e_t)(P_II - P_I), with P_I the frictionless plastic and P_II the sticking
 * plastic impulse, the second part shortened until P lies in the Coulomb cone. It cannot create energy for e, |e_t| <= 1.
 *
 * Returns whether the ball stays: a rebound below {@link LEAST_REBOUND} is left out, and it closes with `allowed` from then on.
 */
function impact(body: ThrowBody, s: Float64Array, table: Table, o: number, allowed: number): boolean {
  const { balls, inverseInertia: J } = body;
  const zx = s[ZX], zy = s[ZY], zz = s[ZZ], lx = s[LX], ly = s[LY], lz = s[LZ]; // prettier-ignore
  const r = balls[o + 3];
  const px = balls[o] - r * zx, py = balls[o + 1] - r * zy, pz = balls[o + 2] - r * zz; // prettier-ignore
  const j0 = J[0], j1 = J[1], j2 = J[2], j3 = J[3], j4 = J[4], j5 = J[5]; // prettier-ignore
  const wx = j0 * lx + j3 * ly + j4 * lz, wy = j3 * lx + j1 * ly + j5 * lz, wz = j4 * lx + j5 * ly + j2 * lz; // prettier-ignore
  const ux = s[VX] + wy * pz - wz * py, uy = s[VY] + wz * px - wx * pz, uz = s[VZ] + wx * py - wy * px; // prettier-ignore
  const closing = -(ux * zx + uy * zy + uz * zz);
  // K = 1 - [p] J [p] maps an impulse at p to the change of p's velocity.
  let dx = j3 * pz - j4 * py, dy = j1 * pz - j5 * py, dz = j5 * pz - j2 * py; // prettier-ignore
  const k00 = 1 + dy * pz - dz * py, k10 = dz * px - dx * pz, k20 = dx * py - dy * px; // prettier-ignore
  dx = j4 * px - j0 * pz;
  dy = j5 * px - j3 * pz;
  dz = j2 * px - j4 * pz;
  const k11 = 1 + dz * px - dx * pz, k21 = dx * py - dy * px; // prettier-ignore
  dx = j0 * py - j3 * px;
  dy = j3 * py - j1 * px;
  const k22 = 1 + dx * py - dy * px;
  // Sticking: K P = -u.
  const a = k11 * k22 - k21 * k21, b = k20 * k21 - k10 * k22, c = k10 * k21 - k20 * k11; // prettier-ignore
  const d = k00 * k22 - k20 * k20, f = k10 * k20 - k00 * k21, g = k00 * k11 - k10 * k10; // prettier-ignore
  const q = -1 / (k00 * a + k10 * b + k20 * c);
  const sx = (a * ux + b * uy + c * uz) * q, sy = (b * ux + d * uy + f * uz) * q, sz = (c * ux + f * uy + g * uz) * q; // prettier-ignore
  const knn = zx * (k00 * zx + 2 * (k10 * zy + k20 * zz)) + zy * (k11 * zy + 2 * k21 * zz) + zz * k22 * zz;
  const plastic = closing / knn;
  const sn = sx * zx + sy * zy + sz * zz;
  const tx = sx - sn * zx, ty = sy - sn * zy, tz = sz - sn * zz; // prettier-ignore
  const tangential = Math.sqrt(tx * tx + ty * ty + tz * tz), more = sn - plastic; // prettier-ignore
  const natural = (table.e * closing) / (closing + table.fade);
  const stays = natural * closing < LEAST_REBOUND;
  const normal = (1 + (stays ? -allowed / closing : natural)) * plastic;
  let k = 1 + table.et;
  if (k * tangential > table.mu * (normal + k * more)) k = (table.mu * normal) / (tangential - table.mu * more);
  const n = normal + k * more;
  const ix = n * zx + k * tx, iy = n * zy + k * ty, iz = n * zz + k * tz; // prettier-ignore
  s[VX] += ix;
  s[VY] += iy;
  s[VZ] += iz;
  s[LX] = lx + py * iz - pz * iy;
  s[LY] = ly + pz * ix - px * iz;
  s[LZ] = lz + px * iy - py * ix;
  return stays;
}
