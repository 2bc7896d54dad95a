import { RIM_DEPTHS } from '../geometry/inward-rays.ts';

/** Grid of a profile: signed distance from -REACH to REACH, px. */
export const H = 0.25;
export const REACH = 9;
export const PROFILE_CELLS = Math.round((2 * REACH) / H) + 1;
/** Cells inside the outline, and parts of a cell over which the rim is averaged. */
export const INNER = Math.round(REACH / H);
const FINE = 3;
/** The same where rays lie close. */
const FINEST = 8;

/** Where each fine cell lies between the depths of the rim's table, on the square root of depth. */
const PLACES = Array.from({ length: INNER * FINE }, (_, i) => {
  const x = ((i + 0.5) / FINE) * H;
  let k = 0;
  while (k < RIM_DEPTHS.length - 2 && RIM_DEPTHS[k + 1]! < x) k++;
  const [a, b] = [Math.sqrt(RIM_DEPTHS[k]!), Math.sqrt(RIM_DEPTHS[k + 1]!)];
  return { k, t: Math.min(1, Math.max(0, (Math.sqrt(x) - a) / (b - a))) };
});
const LAST = RIM_DEPTHS.length - 1;
/** The same as weights of the depths in each grid cell: {@link PLACED} neighbours from `FIRST` on. */
const PLACED = Math.max(
  ...Array.from({ length: INNER }, (_, i) => PLACES[FINE * i + FINE - 1]!.k + 2 - PLACES[FINE * i]!.k),
);
const FIRST = Int32Array.from({ length: INNER }, (_, i) => Math.min(PLACES[FINE * i]!.k, LAST + 1 - PLACED));
const WEIGHTS = new Float64Array(INNER * PLACED);
for (let p = 0; p < INNER * FINE; p++) {
  const i = Math.floor(p / FINE);
  const { k, t } = PLACES[p]!;
  const o = i * PLACED + k - FIRST[i]!;
  WEIGHTS[o]! += (1 - t) / FINE;
  WEIGHTS[o + 1]! += t / FINE;
}

/** A table by depth averaged over grid cells. */
export function placed(s: Float64Array, depths: Float64Array | null, out: Float64Array): void {
  if (depths !== null) {
    placedBetween(s, depths, out);
    return;
  }
  for (let i = 0, o = 0; i < INNER; i++) {
    const first = FIRST[i]!;
    let v = 0;
    for (let q = 0; q < PLACED; q++, o++) v += WEIGHTS[o]! * s[first + q]!;
    out[i] = v;
  }
}

/** The same of any depths, straight between them. */
function placedBetween(s: Float64Array, depths: Float64Array, out: Float64Array): void {
  const last = depths.length - 1;
  for (let p = 0, k = 0; p < INNER * FINEST; p++) {
    if (p % FINEST === 0) out[p / FINEST] = 0;
    const x = ((p + 0.5) / FINEST) * H;
    while (k < last - 1 && depths[k + 1]! < x) k++;
    const t = Math.min(1, Math.max(0, (x - depths[k]!) / (depths[k + 1]! - depths[k]!)));
    out[Math.floor(p / FINEST)]! += (s[k]! + t * (s[k + 1]! - s[k]!)) / FINEST;
  }
}
