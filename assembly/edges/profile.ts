import { add, mul, shared, sub } from './lanes';
import * as at from './layout';
import { smoothInto, spreadInto, spreadOutside } from './smooth';

/** What a die gives back to the stage beside its underside, over what its visible side shows: about half of it lies in shade. */
const UNDERSIDE: f64 = 0.5;
/** Grid cells per px, squared. */
const CELLS_SQUARED: f64 = 16;

function get(grid: usize, i: usize): v128 {
  return v128.load(grid + i);
}

function put(grid: usize, i: usize, x: v128): void {
  v128.store(grid + i, x);
}

/** Bytes of a grid's cells. */
const ALL: usize = <usize>(at.CELLS << 3);

/**
 * Fills the profile at `value`, and its changes where they are asked for: 0 none, 1 by the photo's look, 2 by the surface's light too.
 *
 * @param reach   Of the blur, cells; `sharp` and `colour` of the two smoothings, 0 where the colour is not compared.
 * @param beside  How many places outside lack sky; 0 where none does.
 * @param beyond  Whether what is mirrored is brighter or darker than the light just outside.
 */
export function profile(
  value: usize,
  asked: i32,
  reach: i32,
  sharp: i32,
  colour: i32,
  beside: i32,
  beyond: bool,
): void {
  const spread = min(at.CELLS, at.INNER + reach + 1);
  if (beyond) beyondTerms(reach, spread);
  else memory.fill(at.BEYOND, 0, at.GRID);
  if (beside > 0) spreadOutside(at.SHADOW, at.BESIDE, beside, reach);
  shareOut(asked == 2, reach, spread);
  const end = beside > 0 ? at.CELLS : spread;
  render(value, asked > 0, beside > 0, end);
  if (asked > 0) blurChange(end);
  sharpen(value, asked > 0, sharp, colour);
  if (asked > 0) pairChanges(asked == 2, beyond);
}

function beyondTerms(reach: i32, end: i32): void {
  spreadInto(at.BEYOND_LIT, at.BEYOND_RAW, reach, end);
  spreadInto(at.BEYOND_LIT + at.GRID, at.BEYOND_RAW + at.GRID, reach, end);
  const mirror = shared(at.SURFACE);
  const rough = shared(at.SURFACE + 8);
  for (let i: usize = 0; i < ALL; i += 16)
    put(at.BEYOND, i, add(mul(mirror, get(at.BEYOND_LIT, i)), mul(rough, get(at.BEYOND_LIT + at.GRID, i))));
}

/** Shares of the stage's and the body's light over the grid; each light for itself where its change is wanted. */
function shareOut(apart: bool, reach: i32, end: i32): void {
  const mirror = shared(at.SURFACE);
  const rough = shared(at.SURFACE + 8);
  const limb = shared(at.SURFACE + 16);
  if (apart) {
    for (let t: usize = 0; t < 3; t++) spreadInto(at.LIT + t * at.GRID, at.RAW + t * at.GRID, reach, end);
    for (let i: usize = 0; i < ALL; i += 16) {
      const smooth = mul(mirror, get(at.LIT, i));
      put(at.STAGE_SHARE, i, add(add(get(at.STEP, i), smooth), mul(rough, get(at.LIT + at.GRID, i))));
      put(at.BODY_SHARE, i, mul(limb, get(at.LIT + 2 * at.GRID, i)));
    }
    return;
  }
  for (let i: usize = 0; i < <usize>(at.INNER << 3); i += 16) {
    put(at.SUMMED, i, add(mul(mirror, get(at.RAW, i)), mul(rough, get(at.RAW + at.GRID, i))));
    put(at.SUMMED + at.GRID, i, mul(limb, get(at.RAW + 2 * at.GRID, i)));
  }
  spreadInto(at.STAGE_SHARE, at.SUMMED, reach, end);
  spreadInto(at.BODY_SHARE, at.SUMMED + at.GRID, reach, end);
  for (let i: usize = 0; i < ALL; i += 16) put(at.STAGE_SHARE, i, add(get(at.STAGE_SHARE, i), get(at.STEP, i)));
}

/** Display values before sharpening, and (where asked) their slopes by the shares of stage and body. */
function render(value: usize, slopes: bool, shaded: bool, end: i32): void {
  const last = min(end, at.CELLS - 1);
  memory.fill(value, 0, at.GRID);
  memory.fill(at.BY_STAGE, 0, 5 * at.GRID);
  for (let c: usize = 0; c < 24; c += 8) renderChannel(c, value, slopes, shaded, (<usize>last) << 3);
  for (let i = (<usize>last + 1) << 3, o = (<usize>last) << 3; i < ALL; i += 8) {
    store<f64>(value + i, load<f64>(value + o));
    store<f64>(at.COLOUR + i, load<f64>(at.COLOUR + o));
    store<f64>(at.BY_STAGE + i, load<f64>(at.BY_STAGE + o));
    store<f64>(at.BY_BODY + i, load<f64>(at.BY_BODY + o));
    store<f64>(at.BY_SHADE + i, 0);
  }
}

/** Adds what one channel shows. */
function renderChannel(c: usize, value: usize, slopes: bool, shaded: bool, last: usize): void {
  const inside = load<f64>(at.INSIDE + c);
  const outside = load<f64>(at.OUTSIDE + c);
  const weight = load<f64>(at.PLANE + c);
  let lost: f64 = 0;
  if (shaded) {
    // Where the sky is covered the stage has the die's light instead.
    const back = min<f64>(1, (UNDERSIDE * inside) / outside);
    const open = load<f64>(at.OPEN);
    lost = (outside * (1 - back)) / (open + (1 - open) * back);
  }
  const a = f64x2.splat(inside);
  const b = f64x2.splat(outside);
  const step = f64x2.splat(outside - inside);
  const luma = shared(at.LUMA + c);
  const p = f64x2.splat(weight);
  const beyondLuma = sub(p, luma);
  const dark = f64x2.splat(lost);
  const shade = f64x2.splat(load<f64>(at.SURFACE + 24) * lost);
  const one = f64x2.splat(1);
  const two = f64x2.splat(2);
  const least = f64x2.splat(1e-9);
  const cells = f64x2.splat(at.TONE_CELLS);
  const lastCell = f64x2.splat(at.TONE_CELLS - 1);
  for (let i: usize = 0; i <= last; i += 16) {
    const stage = get(at.STAGE_SHARE, i);
    let light = add(mul(a, add(sub(one, stage), get(at.BODY_SHARE, i))), mul(b, add(stage, get(at.BEYOND, i))));
    if (shaded) light = add(light, mul(shade, get(at.SHADOW, i)));
    const root = f64x2.sqrt(f64x2.max(least, light));
    const q = mul(root, cells);
    const k = f64x2.min(lastCell, f64x2.floor(q));
    const cell = i32x4.trunc_sat_f64x2_s_zero(k);
    const left = v128.load(at.TONE + ((<usize>i32x4.extract_lane(cell, 0)) << 3));
    const right = v128.load(at.TONE + ((<usize>i32x4.extract_lane(cell, 1)) << 3));
    const t = i64x2.shuffle(left, right, 0, 2);
    const rise = sub(i64x2.shuffle(left, right, 1, 3), t);
    const v = add(t, mul(sub(q, k), rise));
    put(value, i, add(get(value, i), mul(luma, v)));
    put(at.COLOUR, i, add(get(at.COLOUR, i), mul(beyondLuma, v)));
    if (!slopes) continue;
    const slope = f64x2.div(mul(mul(p, rise), cells), mul(two, root));
    put(at.BY_STAGE, i, add(get(at.BY_STAGE, i), mul(slope, step)));
    put(at.BY_OUTSIDE, i, add(get(at.BY_OUTSIDE, i), mul(slope, b)));
    put(at.BY_BODY, i, add(get(at.BY_BODY, i), mul(slope, a)));
    if (shaded) put(at.BY_SHADE, i, add(get(at.BY_SHADE, i), mul(mul(slope, dark), get(at.SHADOW, i))));
  }
}

/** Change of the display value per px of blur: a Gaussian's width spreads light as heat spreads, dL/d sigma = sigma d2L/ds2. */
function blurChange(end: i32): void {
  const k = f64x2.splat(load<f64>(at.BLUR) * CELLS_SQUARED);
  const stop = (<usize>min(end, at.CELLS - 1)) << 3;
  store<f64>(at.BY_BLUR, 0);
  for (let i: usize = 8; i < stop; i += 16) {
    const stage = mul(get(at.BY_STAGE, i), bent(at.STAGE_SHARE + i));
    put(at.BY_BLUR, i, mul(k, add(stage, mul(get(at.BY_BODY, i), bent(at.BODY_SHARE + i)))));
  }
  for (let i = stop; i < ALL; i += 8) store<f64>(at.BY_BLUR + i, 0);
}

/** Second difference of a grid. */
function bent(place: usize): v128 {
  return add(sub(v128.load(place - 8), mul(f64x2.splat(2), v128.load(place))), v128.load(place, 8));
}

/** `v` plus the sharpening's amount of what it has over its smoothed self. */
function unsharp(v: usize, sharp: i32): void {
  if (load<f64>(at.SHARPENING) == 0) return;
  const amount = shared(at.SHARPENING);
  smoothInto(at.SOFT, v, at.SHARP, sharp);
  for (let i: usize = 0; i < ALL; i += 16) {
    const x = get(v, i);
    put(v, i, add(x, mul(amount, sub(x, get(at.SOFT, i)))));
  }
}

/** Sharpens luma and colour, smooths the colour, and puts both together. */
function sharpen(v: usize, changes: bool, sharp: i32, colour: i32): void {
  if (!changes) unsharp(v, sharp);
  else {
    const amount = shared(at.SHARPENING);
    smoothInto(at.BY_SHARPENING, v, at.SHARP, sharp);
    for (let i: usize = 0; i < ALL; i += 16) {
      const x = get(v, i);
      const edge = sub(x, get(at.BY_SHARPENING, i));
      put(at.BY_SHARPENING, i, edge);
      put(v, i, add(x, mul(amount, edge)));
    }
    unsharp(at.BY_BLUR, sharp);
  }
  if (colour == 0) return;
  // A mask on red, green and blue alike sharpens the colour too, before the format halves it.
  unsharp(at.COLOUR, sharp);
  smoothInto(at.SOFT, at.COLOUR, at.COLOUR_SOFT, colour);
  for (let i: usize = 0; i < ALL; i += 16) put(v, i, add(get(v, i), get(at.SOFT, i)));
}

/** Puts the changes side by side in pairs, those by the surface's light worked out where they are wanted. */
function pairChanges(light: bool, beyond: bool): void {
  for (let i: usize = 0; i < ALL; i += 16) {
    putPairs(at.CHANGES, i, get(at.BY_SHARPENING, i), get(at.BY_BLUR, i));
    let mirror = f64x2.splat(0);
    if (light) {
      const stage = get(at.BY_STAGE, i);
      const outside = get(at.BY_OUTSIDE, i);
      const polished = beyond ? get(at.BEYOND_LIT, i) : f64x2.splat(0);
      const dull = beyond ? get(at.BEYOND_LIT + at.GRID, i) : f64x2.splat(0);
      mirror = add(mul(stage, get(at.LIT, i)), mul(outside, polished));
      const rough = add(mul(stage, get(at.LIT + at.GRID, i)), mul(outside, dull));
      putPairs(at.CHANGES + 4 * at.GRID, i, rough, mul(get(at.BY_BODY, i), get(at.LIT + 2 * at.GRID, i)));
    }
    putPairs(at.CHANGES + 2 * at.GRID, i, get(at.BY_SHADE, i), mirror);
  }
}

function putPairs(pairs: usize, i: usize, first: v128, second: v128): void {
  v128.store(pairs + 2 * i, i64x2.shuffle(first, second, 0, 2));
  v128.store(pairs + 2 * i, i64x2.shuffle(first, second, 1, 3), 16);
}
