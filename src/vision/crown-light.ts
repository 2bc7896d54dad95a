import type { ContactShade } from '../geometry/contact-shade.ts';
import { RAISE } from '../geometry/rim.ts';
import { choleskySolveInto } from '../maths/linear.ts';
import { CROWN_SUMS, type CrownLight } from './edge-set.ts';
import { PROFILE_CELLS } from './depth-cells.ts';
import { F, GRID, PIXEL, RESIDUAL, SEEN, SI, SLOPE, SO, WEIGHT } from './edge-memory.ts';
import { fillProfile, gridPlace, type Depths, type Surface } from './profile.ts';
import { LOCAL, type Work } from './segment-sums.ts';

/** Grid cells per px. */
const PER_PX = gridPlace(1) - gridPlace(0);
/** Changes by mirror and rough, from pair to pair. */
const [MIRROR, ROUGH] = [2 * GRID + 1, 4 * GRID];

/** Change of a segment's profile by the crown, per mm, on the profile's grid. */
const byRaise = new Float64Array(PROFILE_CELLS);
/** The same by the share of what the face mirrors. */
const byGlare = new Float64Array(PROFILE_CELLS);

/** The surface where a face seen edge-on mirrors so much more or less than the die's faces at large. */
export const glaring = (surface: Surface, glare: number): Surface => ({
  ...surface,
  mirror: surface.mirror * (1 + glare),
  rough: surface.rough * (1 + glare),
});

/** Fills {@link byRaise} and {@link byGlare}: the profile with higher crowns, its outline moved out, less the profile as it is. */
export function raisedChange(
  work: Work,
  raised: Depths,
  shift: number,
  shade: ContactShade | null,
  surface: Surface,
  sigma: number,
): void {
  const { VALUE, CHANGES } = work.memory;
  const from = fillProfile('RAISED', work.inner, work.outer, raised, shade, surface, sigma, work.response, 'nothing');
  for (let i = 0; i < PROFILE_CELLS; i++) {
    const there = between(from, i - shift * PER_PX);
    byRaise[i] = (there - VALUE[i]!) / RAISE;
    byGlare[i] = surface.mirror * CHANGES[MIRROR + 2 * i]! + surface.rough * CHANGES[ROUGH + 2 * i]!;
  }
}

/** A profile between its cells, cubic after Catmull and Rom: what a straight line leaves there would read as blur. */
function between(value: Float64Array, place: number): number {
  const q = Math.max(1, Math.min(PROFILE_CELLS - 2.001, place));
  const k = Math.floor(q);
  const t = q - k;
  const [p0, p1, p2, p3] = [value[k - 1]!, value[k]!, value[k + 1]!, value[k + 2]!];
  return p1 + 0.5 * t * (p2 - p0 + t * (2 * p0 - 5 * p1 + 4 * p2 - p3 + t * (3 * (p1 - p2) + p3 - p0)));
}

/** What a segment says of crown and glare, its own unknowns taken out: its pixels have just been looked at, their block factored. */
export function crownOf(work: Work, count: number, misfit: number, segment: number, out: CrownLight): void {
  const { memory, factor, gradient, local } = work;
  const { PIXELS, SEEN_PIXELS: seen } = memory;
  const across = [new Float64Array(LOCAL), new Float64Array(LOCAL)] as const;
  const own = new Float64Array(CROWN_SUMS);
  for (let m = 0, o = 0; m < count; m++, o += SEEN) {
    const r = seen[o + RESIDUAL]!;
    const f = seen[o + F]!;
    const w = seen[o + WEIGHT]!;
    const q = gridPlace(PIXELS[PIXEL * m]! - local[0]!);
    const k = Math.max(0, Math.min(PROFILE_CELLS - 2, Math.floor(q)));
    const t = Math.max(0, Math.min(1, q - k));
    const crown = byRaise[k]! + t * (byRaise[k + 1]! - byRaise[k]!);
    const glare = byGlare[k]! + t * (byGlare[k + 1]! - byGlare[k]!);
    own[0]! += w * crown * crown;
    own[1]! += w * crown * glare;
    own[2]! += w * glare * glare;
    own[3]! += w * crown * r;
    own[4]! += w * glare * r;
    for (let c = 0; c < 2; c++) {
      const v = w * (c === 0 ? crown : glare);
      const a = across[c]!;
      a[0]! -= seen[o + SLOPE]! * v;
      a[1]! += (1 - f) * v;
      a[2]! += (1 - f) * seen[o + SI]! * v;
      a[3]! += f * v;
      a[4]! += f * seen[o + SO]! * v;
    }
  }
  const moved = across.map((a) => {
    const x = new Float64Array(LOCAL);
    choleskySolveInto(factor, LOCAL, a, x);
    return x;
  }) as [Float64Array, Float64Array];
  const [x, y] = moved;
  for (let a = 0; a < LOCAL; a++) {
    own[0]! -= across[0][a]! * x[a]!;
    own[1]! -= across[0][a]! * y[a]!;
    own[2]! -= across[1][a]! * y[a]!;
    own[3]! -= gradient[a]! * x[a]!;
    own[4]! -= gradient[a]! * y[a]!;
  }
  out.byCrown[segment] = -x[0]!;
  out.byGlare[segment] = -y[0]!;
  for (let k = 0; k < CROWN_SUMS; k++) out.sums[CROWN_SUMS * segment + k] = own[k]! / (misfit * misfit);
}
