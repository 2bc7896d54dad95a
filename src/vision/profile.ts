import { skyAt, type ContactShade } from '../geometry/contact-shade.ts';
import { normalShare } from '../maths/normal.ts';
import { H, PROFILE_CELLS, REACH } from './depth-cells.ts';
import { LUMA } from './picture.ts';
import { edgeMemory, KERNEL_MIDDLE, PARAMETER, type EdgeMemory } from './edge-memory.ts';
import { smoother, SPARSE } from './profile-smoothing.ts';
import { beyondTerms, rimTerms, type Depths } from './rim-terms.ts';
import type { ToneCurve } from './tone.ts';

export type { Depths };

/** How a photo renders light as display values. */
export interface Response {
  readonly tone: ToneCurve;
  /** Unsharp mask of the display values: value + amount . (value - smoothed); a picture format's softening is negative. */
  readonly sharpening: number;
  /** Its radius, px, one standard deviation. */
  readonly radius: number;
  /** Weights of red, green, blue in what is compared; their sum is 1. {@link LUMA} unless die and stage differ in colour alone. */
  readonly plane: readonly [number, number, number];
  /** Smoothing of the colour part of other planes than luma, px: a picture format keeps colour at half resolution. */
  readonly colourBlur: number;
}

/**
 * Smoothing that 4:2:0 colour goes through, px, one standard deviation: the mean of 2 x 2 pixels (variance 1/3), then linear
 * interpolation between the means (variance 2/3). Source: JFIF (ITU-T T.871) for the layout; the variances by integration.
 */
export const HALF_COLOUR_BLUR = 1;

/** How a die's surface mirrors and brightens towards grazing. */
export interface Surface {
  /** Shares of what a smooth and a rough plastic would mirror of the stage. */
  readonly mirror: number;
  readonly rough: number;
  /** Brightening of the body's own light at grazing. */
  readonly limb: number;
  /** How much of an even sky the die keeps from the stage beside edges that lie on it: 1, or 0 under light that comes from everywhere. */
  readonly shade: number;
}

/** What an edge's place hangs on besides the pixels themselves, in the order of a profile's changes. */
export const TERMS = ['mirror', 'rough', 'limb', 'sharpening', 'blur-low', 'blur-high', 'shade'] as const;
export const TERM_COUNT = TERMS.length;

const CELLS = PROFILE_CELLS;
/** What changes a profile is asked for: none, those by the photo's look, or those by the surface's light too. */
export type Asked = 'nothing' | 'look' | 'all';
/** The changes on the grid, in their order: by sharpening, by blur (of the place), by shade; then by mirror, rough and limb. */
export const CHANGES: Record<Asked, number> = { nothing: 0, look: 3, all: 6 };

/** What a blur makes of a step, and of the light of one grid cell: the Gaussian's mass of the cell, seen from grid points. */
interface Spread {
  readonly step: Float64Array;
  /** From the far end; its middle lies at {@link KERNEL_MIDDLE}. */
  readonly kernel: Float64Array;
  readonly reach: number;
}
const spreads = new Map<number, Spread>();
/** Steps in which blur is told apart, parts of a px. */
const BLUR_PARTS = 500;

function spreadOf(key: number): Spread {
  let found = spreads.get(key);
  if (!found) {
    const sigma = key / BLUR_PARTS;
    const reach = Math.ceil((4 * sigma) / H) + 1;
    const step = new Float64Array(CELLS);
    for (let i = 0; i < CELLS; i++) step[i] = normalShare((-REACH + i * H) / sigma);
    const kernel = new Float64Array(2 * KERNEL_MIDDLE);
    const most = Math.min(reach, KERNEL_MIDDLE - 1);
    for (let i = -most; i <= most; i++)
      kernel[KERNEL_MIDDLE - i] = normalShare(((i + 1) * H) / sigma) - normalShare((i * H) / sigma);
    found = { reach, step, kernel };
    if (spreads.size > 2000) spreads.clear();
    spreads.set(key, found);
  }
  return found;
}

/** The one that the memory holds. */
let held: Spread | undefined;

function takeSpread({ STEP, KERNEL }: EdgeMemory, spread: Spread): void {
  if (held === spread) return;
  STEP.set(spread.step);
  KERNEL.set(spread.kernel);
  held = spread;
}

/** Sky that the stage lacks beside an edge that lies on it, by distance; returns at how many places. */
function shadeOut(beside: Float64Array, shade: ContactShade | null): number {
  let count = 0;
  if (shade)
    for (; count < beside.length; count++) {
      const lacking = skyAt(shade, (count + 0.5) * H) - shade.open;
      if (lacking >= 0) break;
      beside[count] = lacking;
    }
  return count;
}

/** The two smoothings that the memory holds. */
let sharp: Float64Array | undefined;
let soft: Float64Array | undefined;
let tone: ToneCurve | undefined;

/** Writes how a photo renders light; returns whether colour is compared. */
function takeResponse(memory: EdgeMemory, response: Response): boolean {
  const { PARAMETERS: p, TONE, SHARP, COLOUR_SOFT } = memory;
  const { plane, radius, colourBlur } = response;
  if (tone !== response.tone) TONE.set((tone = response.tone).table);
  const [wanted, wantedToo] = [smoother(radius, H), smoother(colourBlur, H)];
  if (sharp !== wanted) SHARP.set((sharp = wanted));
  if (soft !== wantedToo) COLOUR_SOFT.set((soft = wantedToo));
  p[PARAMETER.sharpening] = response.sharpening;
  p.set(plane, PARAMETER.plane);
  return plane[0] !== LUMA[0] || plane[2] !== LUMA[2];
}

/** What a changed profile is asked for, as the module counts. */
const ASKED: Record<Asked, number> = { nothing: 0, look: 1, all: 2 };

/** Cells that a smoothing by such weights reaches. */
const reachOf = (weights: Float64Array): number => SPARSE * (weights.length - 1);

/**
 * Fills a profile of a segment; the changes of the memory's `VALUE` go with it.
 *
 * @param part     The one that pixels are compared with, or the one with higher crowns, which has no changes.
 * @param inside   Light of the die's body there, per channel; `outside` likewise of the stage.
 * @param depths   What lies below it.
 * @param shade    Of the stage beside it.
 * @param blur     px, one standard deviation; taken to {@link BLUR_PARTS}.
 * @returns        Display values on the grid, which the next call overwrites.
 */
export function fillProfile(
  part: 'VALUE' | 'RAISED',
  inside: ArrayLike<number>,
  outside: ArrayLike<number>,
  depths: Depths,
  shade: ContactShade | null,
  surface: Surface,
  blur: number,
  response: Response,
  asked: Asked,
): Float64Array {
  const memory = edgeMemory();
  const { PARAMETERS: p, run } = memory;
  const { mirrored } = depths;
  const key = Math.round(blur * BLUR_PARTS);
  const spread = spreadOf(key);
  takeSpread(memory, spread);
  rimTerms(memory, depths);
  if (mirrored) beyondTerms(memory, depths, mirrored);
  const coloured = takeResponse(memory, response);
  for (let c = 0; c < 3; c++) {
    p[PARAMETER.inside + c] = inside[c]!;
    p[PARAMETER.outside + c] = outside[c]!;
  }
  p[PARAMETER.mirror] = surface.mirror;
  p[PARAMETER.rough] = surface.rough;
  p[PARAMETER.limb] = surface.limb;
  p[PARAMETER.shade] = surface.shade;
  p[PARAMETER.open] = shade ? shade.open : 1;
  p[PARAMETER.blur] = key / BLUR_PARTS;
  const beside = shadeOut(memory.BESIDE, shade);
  const colourReach = coloured ? reachOf(soft!) : 0;
  run.profile(run[part].value, ASKED[asked], spread.reach, reachOf(sharp!), colourReach, beside, mirrored !== null);
  return memory[part];
}

/** Place on the grid, in cells, of a signed distance from the outline, px. */
export const gridPlace = (distance: number): number => (distance + REACH) / H;
