import { GRAZING_DEPTHS } from '../geometry/inward-rays.ts';
import { skyAt, type ContactShade } from '../geometry/contact-shade.ts';
import { normalShare } from '../maths/normal.ts';
import { H, INNER, placed, PROFILE_CELLS, REACH } from './depth-cells.ts';
import { LUMA } from './picture.ts';
import { smoothInto } from './profile-smoothing.ts';
import { limbTerm, mirrorShare, roughShare } from './reflectance.ts';
import type { ToneCurve } from './tone.ts';

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
const LIGHTS = 3;

const CELLS = PROFILE_CELLS;
/** What changes a profile is asked for: none, those by the photo's look, or those by the surface's light too. */
export type Asked = 'nothing' | 'look' | 'all';
/** The changes on the grid, in their order: by sharpening, by blur (of the place), by shade; then by mirror, rough and limb. */
export const CHANGES: Record<Asked, number> = { nothing: 0, look: 3, all: 3 + LIGHTS };

/** What lies below a segment by depth. */
export interface Depths {
  /** px inside the outline; null where they are {@link RIM_DEPTHS}. */
  readonly depths: Float64Array | null;
  /** Cosines of incidence. */
  readonly cosines: Float64Array;
  /** How many times as bright as the stage just outside what is mirrored is; null where alike. */
  readonly mirrored: Float64Array | null;
}

/** Profiles of one segment on the grid. */
export interface Profile {
  /** Blurred step: share of outside. */
  step: Float64Array;
  /** Display value, and its changes. */
  readonly value: Float64Array;
  readonly change: readonly Float64Array[];
}

export const newProfile = (): Profile => ({
  step: new Float64Array(CELLS),
  value: new Float64Array(CELLS),
  change: Array.from({ length: CHANGES.all }, () => new Float64Array(CELLS)),
});

const arrays = (length: number): Float64Array[] => Array.from({ length: LIGHTS }, () => new Float64Array(length));
/** Rim terms by depth, the same added up as stage and body's light, and spread by the blur. */
const raw = arrays(INNER);
const summed = [new Float64Array(INNER), new Float64Array(INNER)] as const;
/** What is mirrored beyond as much of the light just outside, by depth and spread, of a polished and of a rough surface. */
const beyondRaw = [new Float64Array(INNER), new Float64Array(INNER)] as const;
const beyondLit = [new Float64Array(CELLS), new Float64Array(CELLS)] as const;
/** Most depths of one segment: those beside a face seen edge-on, and what higher crowns add. */
const MOST_DEPTHS = GRAZING_DEPTHS.length + 8;
const beyondShares = [new Float64Array(MOST_DEPTHS), new Float64Array(MOST_DEPTHS)] as const;
/** The same of the surface at hand. */
const beyond = new Float64Array(CELLS);
const lit = arrays(CELLS);
const stageShare = new Float64Array(CELLS);
const bodyShare = new Float64Array(CELLS);
const shadow = new Float64Array(CELLS);
const beside = new Float64Array(CELLS - INNER);
const byShade = new Float64Array(CELLS);
const byStage = new Float64Array(CELLS);
const byOutside = new Float64Array(CELLS);
const byBody = new Float64Array(CELLS);
const colour = new Float64Array(CELLS);
const soft = new Float64Array(CELLS);

const shares = arrays(MOST_DEPTHS);

/** Rim terms by depth against the deepest place, averaged over grid cells; cell i reaches from i H to (i + 1) H inside the outline. */
function rimTerms({ depths, cosines }: Depths): void {
  const deep = cosines[cosines.length - 1]!;
  const [mirror, rough, limb] = [mirrorShare(deep), roughShare(deep), limbTerm(deep)];
  for (let k = 0; k < cosines.length; k++) {
    const c = cosines[k]!;
    shares[0]![k] = (mirrorShare(c) - mirror) / (1 - mirror);
    shares[1]![k] = (roughShare(c) - rough) / (1 - rough);
    shares[2]![k] = limbTerm(c) - limb;
  }
  for (let t = 0; t < LIGHTS; t++) placed(shares[t]!, depths, raw[t]!);
}

/**
 * Fills {@link beyond}: what the rim mirrors is brighter or darker than the stage just outside, `mirrored` times by depth. The level inside holds
 * what the deepest place mirrors already.
 */
function beyondTerms(
  { depths, cosines }: Depths,
  mirrored: Float64Array,
  { mirror, rough }: Surface,
  spread: Spread,
): void {
  const last = cosines.length - 1;
  const deep = cosines[last]!;
  const more = mirrored[last]! - 1;
  for (let t = 0; t < 2; t++) {
    const share = t === 0 ? mirrorShare : roughShare;
    const there = share(deep);
    for (let k = 0; k <= last; k++) {
      const here = share(cosines[k]!);
      beyondShares[t]![k] = here * (mirrored[k]! - 1) - (there * more * (1 - here)) / (1 - there);
    }
    placed(beyondShares[t]!, depths, beyondRaw[t]!);
    spreadInto(beyondLit[t]!, beyondRaw[t]!, spread, Math.min(CELLS, INNER + spread.reach + 1));
  }
  for (let i = 0; i < CELLS; i++) beyond[i] = mirror * beyondLit[0][i]! + rough * beyondLit[1][i]!;
}

/** What a blur makes of a step, and of the light of one grid cell: the Gaussian's mass of the cell, seen from grid points. */
interface Spread {
  readonly step: Float64Array;
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
    found = {
      reach,
      step: Float64Array.from({ length: CELLS }, (_, i) => normalShare((-REACH + i * H) / sigma)),
      kernel: Float64Array.from(
        { length: 2 * reach + 1 },
        (_, i) => normalShare(((i - reach + 1) * H) / sigma) - normalShare(((i - reach) * H) / sigma),
      ),
    };
    if (spreads.size > 2000) spreads.clear();
    spreads.set(key, found);
  }
  return found;
}

/** Spreads light by depth over the grid up to cell `end`. */
function spreadInto(out: Float64Array, source: Float64Array, { kernel, reach }: Spread, end: number): void {
  for (let i = 0; i < end; i++) {
    // Cell `depth` lies between the grid points INNER - depth - 1 and INNER - depth.
    const from = Math.max(0, INNER - 1 - i - reach);
    const to = Math.min(INNER - 1, INNER - 1 - i + reach);
    let s = 0;
    for (let depth = from, j = reach + INNER - 1 - i - from; depth <= to; depth++, j--)
      s += source[depth]! * kernel[j]!;
    out[i] = s;
  }
  for (let i = end; i < CELLS; i++) out[i] = 0;
}

/** Shares of the stage's and the body's light over the grid; returns the cell from which on only the stage is seen. */
function shareOut(surface: Surface, spread: Spread, asked: Asked): number {
  const end = Math.min(CELLS, INNER + spread.reach + 1);
  const { mirror, rough, limb } = surface;
  if (asked === 'all') {
    for (let t = 0; t < LIGHTS; t++) spreadInto(lit[t]!, raw[t]!, spread, end);
    const [l, m, n] = lit as [Float64Array, Float64Array, Float64Array];
    for (let i = 0; i < CELLS; i++) {
      stageShare[i] = spread.step[i]! + mirror * l[i]! + rough * m[i]!;
      bodyShare[i] = limb * n[i]!;
    }
    return end;
  }
  for (let i = 0; i < INNER; i++) {
    summed[0][i] = mirror * raw[0]![i]! + rough * raw[1]![i]!;
    summed[1][i] = limb * raw[2]![i]!;
  }
  spreadInto(stageShare, summed[0], spread, end);
  spreadInto(bodyShare, summed[1], spread, end);
  for (let i = 0; i < CELLS; i++) stageShare[i]! += spread.step[i]!;
  return end;
}

/** What a die gives back to the stage beside its underside, over what its visible side shows: about half of it lies in shade. */
const UNDERSIDE = 0.5;

/** Sky that the stage lacks beside an edge that lies on it, spread by the blur, over the grid; false where it lacks none. */
function shadeOut(shade: ContactShade | null, { kernel, reach }: Spread): boolean {
  if (!shade) return false;
  let count = 0;
  for (; count < beside.length; count++) {
    const lacking = skyAt(shade, (count + 0.5) * H) - shade.open;
    if (lacking >= 0) break;
    beside[count] = lacking;
  }
  if (count === 0) return false;
  for (let i = 0; i < CELLS; i++) {
    const from = Math.max(0, i - INNER - reach);
    const to = Math.min(count - 1, i - INNER + reach);
    let s = 0;
    for (let j = from; j <= to; j++) s += beside[j]! * kernel[reach - i + INNER + j]!;
    shadow[i] = s;
  }
  return true;
}

/** Display values before sharpening, and (where asked) their slopes by the shares of stage and body. */
function render(
  value: Float64Array,
  inside: ArrayLike<number>,
  outside: ArrayLike<number>,
  { tone: { table }, plane }: Response,
  asked: Asked,
  end: number,
  shade: (ContactShade & { readonly strength: number }) | null,
): void {
  const cells = table.length - 1;
  const last = Math.min(end, CELLS - 1);
  const slopes = asked !== 'nothing';
  for (let i = 0; i <= last; i++) value[i] = colour[i] = byStage[i] = byOutside[i] = byBody[i] = byShade[i] = 0;
  for (let c = 0; c < 3; c++) {
    const a = inside[c]!;
    const b = outside[c]!;
    const luma = LUMA[c]!;
    const p = plane[c]!;
    let dark = 0;
    if (shade) {
      // Where the sky is covered the stage has the die's light instead.
      const back = Math.min(1, (UNDERSIDE * a) / b);
      dark = (b * (1 - back)) / (shade.open + (1 - shade.open) * back);
    }
    for (let i = 0; i <= last; i++) {
      const stage = stageShare[i]!;
      const light =
        a * (1 - stage + bodyShare[i]!) + b * (stage + beyond[i]!) + (shade ? shade.strength * dark * shadow[i]! : 0);
      const root = Math.sqrt(Math.max(1e-9, light));
      const q = root * cells;
      const k = Math.min(cells - 1, Math.floor(q));
      const t = table[k]!;
      const rise = table[k + 1]! - t;
      const v = t + (q - k) * rise;
      value[i]! += luma * v;
      colour[i]! += (p - luma) * v;
      if (!slopes) continue;
      const slope = (p * rise * cells) / (2 * root);
      byStage[i]! += slope * (b - a);
      byOutside[i]! += slope * b;
      byBody[i]! += slope * a;
      if (shade) byShade[i]! += slope * dark * shadow[i]!;
    }
  }
  for (let i = last + 1; i < CELLS; i++) {
    value[i] = value[last]!;
    colour[i] = colour[last]!;
    byStage[i] = byStage[last]!;
    byBody[i] = byBody[last]!;
    byShade[i] = 0;
  }
}

/**
 * Fills the profile of a segment.
 *
 * @param inside   Light of the die's body there, per channel; `outside` likewise of the stage.
 * @param depths   What lies below it.
 * @param shade    Of the stage beside it.
 * @param blur     px, one standard deviation; taken to {@link BLUR_PARTS}.
 */
export function fillProfile(
  out: Profile,
  inside: ArrayLike<number>,
  outside: ArrayLike<number>,
  depths: Depths,
  shade: ContactShade | null,
  surface: Surface,
  blur: number,
  response: Response,
  asked: Asked,
): void {
  const { mirrored } = depths;
  rimTerms(depths);
  const key = Math.round(blur * BLUR_PARTS);
  const spread = spreadOf(key);
  out.step = spread.step;
  if (mirrored) beyondTerms(depths, mirrored, surface, spread);
  else beyond.fill(0);
  const shaded = shadeOut(shade, spread);
  const end = shaded ? CELLS : shareOut(surface, spread, asked);
  if (shaded) shareOut(surface, spread, asked);
  render(out.value, inside, outside, response, asked, end, shaded ? { ...shade!, strength: surface.shade } : null);
  if (asked !== 'nothing') blurChange(out.change[1]!, key / BLUR_PARTS, end);
  sharpen(out, response, asked);
  if (asked !== 'nothing') out.change[2]!.set(byShade);
  if (asked !== 'all') return;
  for (let i = 0; i < CELLS; i++) {
    const [l, m] = mirrored ? [beyondLit[0][i]!, beyondLit[1][i]!] : [0, 0];
    out.change[3]![i] = byStage[i]! * lit[0]![i]! + byOutside[i]! * l;
    out.change[4]![i] = byStage[i]! * lit[1]![i]! + byOutside[i]! * m;
    out.change[5]![i] = byBody[i]! * lit[2]![i]!;
  }
}

/** Change of the display value per px of blur: a Gaussian's width spreads light as heat spreads, dL/d sigma = sigma d2L/ds2. */
function blurChange(out: Float64Array, sigma: number, end: number): void {
  const k = sigma / (H * H);
  out[0] = 0;
  for (let i = 1; i < end && i < CELLS - 1; i++)
    out[i] =
      k *
      (byStage[i]! * (stageShare[i - 1]! - 2 * stageShare[i]! + stageShare[i + 1]!) +
        byBody[i]! * (bodyShare[i - 1]! - 2 * bodyShare[i]! + bodyShare[i + 1]!));
  for (let i = Math.min(end, CELLS - 1); i < CELLS; i++) out[i] = 0;
}

/** `v` plus `amount` of what it has over its smoothed self. */
function unsharp(v: Float64Array, amount: number, radius: number): void {
  if (amount === 0) return;
  smoothInto(soft, v, radius, H);
  for (let i = 0; i < CELLS; i++) v[i] = v[i]! + amount * (v[i]! - soft[i]!);
}

/** Sharpens luma and colour, smooths the colour, and puts both together. */
function sharpen(out: Profile, { sharpening, radius, plane, colourBlur }: Response, asked: Asked): void {
  const v = out.value;
  if (asked === 'nothing') unsharp(v, sharpening, radius);
  else {
    const edge = out.change[0]!;
    smoothInto(edge, v, radius, H);
    for (let i = 0; i < CELLS; i++) {
      edge[i] = v[i]! - edge[i]!;
      v[i]! += sharpening * edge[i]!;
    }
    unsharp(out.change[1]!, sharpening, radius);
  }
  if (plane[0] === LUMA[0] && plane[2] === LUMA[2]) return;
  // A mask on red, green and blue alike sharpens the colour too, before the format halves it.
  unsharp(colour, sharpening, radius);
  smoothInto(soft, colour, colourBlur, H);
  for (let i = 0; i < CELLS; i++) v[i] = v[i]! + soft[i]!;
}

/** Place on the grid, in cells, of a signed distance from the outline, px. */
export const gridPlace = (distance: number): number => (distance + REACH) / H;
