/**
 * Where everything lies in the module's memory, in bytes. What is thrown stands from {@link SETUP} on and is written by the caller; the two dice
 * under way from {@link STATE} on; then tables of a length that {@link room} sets.
 *
 * The body's frame has the centre of mass at the origin and its axes along the principal axes of inertia; mass 1, mm and s. World up,
 * velocity and spin momentum stand still in the world during flight except for gravity, so in the body's frame they only turn.
 */

/** Standard gravity, mm/s^2 (ISO 80000-3). */
export const GRAVITY: f64 = 9806.65;
/** A contact is looked for at half this depth, mm; what stands no higher than the table touches it. */
export const TOUCH: f64 = 3e-3;
/** Closing speed that a touching ball is left with, mm/s. */
export const AT_REST: f64 = 0.3;

const SETUP: usize = 1024;
/** Table: normal restitution, friction, speed of half restitution mm/s, tangential restitution. */
export const BOUNCE: usize = SETUP;
export const FRICTION: usize = SETUP + 8;
export const FADE: usize = SETUP + 16;
export const GRIP: usize = SETUP + 24;
/** Hand: least height and what is added at most, mm; along and up, mean and standard deviation, mm/s; spin momentum's, mm^2/s. */
export const HEIGHT: usize = SETUP + 32;
export const HEIGHTS: usize = SETUP + 40;
export const ALONG: usize = SETUP + 48;
export const ALONG_SIGMA: usize = SETUP + 56;
export const UP: usize = SETUP + 64;
export const UP_SIGMA: usize = SETUP + 72;
export const SPIN_SIGMA: usize = SETUP + 80;
/** Body: inverse principal inertia, 1/mm^2; longest steady turn, rad; reach, mm. */
export const J_X: usize = SETUP + 88;
export const J_Y: usize = SETUP + 96;
export const J_Z: usize = SETUP + 104;
export const STEADY: usize = SETUP + 112;
export const REACH: usize = SETUP + 120;
/** Rows: the principal axes in the solid's frame. */
export const AXES: usize = SETUP + 128;
/** The highest of all passes, mm^2/s^2. */
export const HIGHEST: usize = SETUP + 200;

const STATE: usize = 1280;
export const Z_X: usize = STATE;
export const Z_Y: usize = STATE + 16;
export const Z_Z: usize = STATE + 32;
export const V_X: usize = STATE + 48;
export const V_Y: usize = STATE + 64;
export const V_Z: usize = STATE + 80;
export const L_X: usize = STATE + 96;
export const L_Y: usize = STATE + 112;
export const L_Z: usize = STATE + 128;
/** Height of the centre of mass over the table, mm; energy after the last impact, mm^2/s^2. */
export const H: usize = STATE + 144;
export const ENERGY: usize = STATE + 160;
/** Since the table was first touched: time s, path of the centre of mass mm; impulses and steps; largest rise of energy, a share. */
export const TIME: usize = STATE + 176;
export const PATH: usize = STATE + 192;
export const IMPACTS: usize = STATE + 208;
export const STEPS: usize = STATE + 224;
export const GAIN: usize = STATE + 240;
/** Length of the step in contact under way, s; 0 in flight and where a contact begins. */
export const STEP: usize = STATE + 256;
/** Masks: whether the table carries it; whether the step in contact under way ends in the touch of another ball. */
export const RESTS: usize = STATE + 272;
export const ARRIVES: usize = STATE + 288;

/** Masks of neither die, the first, the second, both. */
export const MASKS: usize = STATE + 304;

/** Rows of four numbers: x, y, z, radius of each ball; a normal and the inverse of its distance, of each face. */
export const ROW: usize = 32;
export const BALLS: usize = 2048;
export let facesAt: usize = 0;
/** Passes out of each face, mm^2/s^2. */
export let passesAt: usize = 0;
export let passesEnd: usize = 0;
/** Places of the balls that may come down within the step, of either die. */
export let loweringAt: usize = 0;
/** Before what time each of them does not touch, s. */
export let foreseenAt: usize = 0;
/** Places of the balls that touch, of either die side by side. */
export let touchingAt: usize = 0;
/** What each throw came to: eight numbers. */
export let resultsAt: usize = 0;
export const RESULT: usize = 64;

/** Makes room for so many balls, faces and throws at once; returns where balls, faces and passes stand, one after the other. */
export function room(balls: u32, faces: u32, throws: u32): usize {
  facesAt = BALLS + <usize>balls * ROW;
  passesAt = facesAt + <usize>faces * ROW;
  passesEnd = passesAt + <usize>faces * 8;
  loweringAt = passesEnd;
  foreseenAt = (loweringAt + (<usize>balls + 1) * 4 + 15) & ~15;
  touchingAt = foreseenAt + <usize>balls * 16;
  resultsAt = touchingAt + (<usize>balls + 1) * 8;
  const end = resultsAt + <usize>throws * RESULT;
  store<i64>(MASKS + 16, -1);
  store<i64>(MASKS + 40, -1);
  store<i64>(MASKS + 48, -1);
  store<i64>(MASKS + 56, -1);
  const missing = <i32>((end + 0xffff) >>> 16) - memory.size();
  if (missing > 0) memory.grow(missing);
  return BALLS;
}

/** Where what is thrown stands. */
export function setup(): usize {
  return SETUP;
}

/** Where {@link throwBlock} leaves what each throw came to. */
export function results(): usize {
  return resultsAt;
}
