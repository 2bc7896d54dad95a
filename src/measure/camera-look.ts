import type { Outline } from '../geometry/outline.ts';
import { byAxis } from '../geometry/vec.ts';
import { median } from '../maths/linear.ts';
import { cardResponse, spreadBlur, type CardResponse, type EdgeSpread } from '../vision/card-response.ts';
import { LUMA, type Crop } from '../vision/picture.ts';
import { HALF_COLOUR_BLUR, type Response } from '../vision/profile.ts';
import { SRGB } from '../vision/tone.ts';
import type { CoarseStand } from './coarse.ts';
import type { Added } from './look.ts';
import { blurredBehind } from './processing.ts';

/** A colour must part die and stage this many times better than luma before its half resolution is put up with. */
const COLOUR_GAIN = 1.8;

/** Of a rounding step, the standard deviation of what it leaves; the grain that stands beside it, display values; the quality below which it counts. */
const ROUNDED = { share: 1 / Math.sqrt(12), grain: 5, quality: 85 } as const;
/** What red, green and blue take of the larger of the two colour differences. Source: ITU-R BT.601-7, 2.5.2, as JFIF (ITU-T T.871) uses it. */
const OF_CHROMA = [1.402, 0.714, 1.772] as const;

/** How many times less sure a colour is than luma, by how coarsely the files round both. */
function colourCoarser(used: readonly Added[], colour: number): number {
  const { share, grain } = ROUNDED;
  const codings = used.flatMap((a) => (a.coding && a.coding.quality < ROUNDED.quality ? [a.coding] : []));
  if (codings.length === 0) return 1;
  const [luma, chroma] = [median(codings.map((c) => c.coarse)), median(codings.map((c) => c.colourCoarse))];
  const plain = Math.hypot(grain, share * luma);
  return Math.hypot(plain, OF_CHROMA[colour]! * share * chroma) / plain;
}

/** Die and stage are compared so far from the outline, px. */
const BESIDE = 6;

/** Where the crop's data hold the pixels that lie so far outside each point of an outline. */
function pixelsBeside(
  { width, height, left, top, channels }: Crop,
  { xy, normal }: Pick<Outline, 'xy' | 'normal'>,
  far: number,
): Int32Array {
  const out = new Int32Array(xy.length / 2);
  for (let k = 0; k < out.length; k++) {
    const x = Math.min(width - 1, Math.max(0, Math.round(xy[2 * k]! + far * normal[2 * k]!) - left));
    const y = Math.min(height - 1, Math.max(0, Math.round(xy[2 * k + 1]! + far * normal[2 * k + 1]!) - top));
    out[k] = (y * width + x) * channels;
  }
  return out;
}

/** One colour outside less that inside. */
function differences(data: Crop['data'], inside: Int32Array, outside: Int32Array, colour: number): Float64Array {
  const out = new Float64Array(inside.length);
  for (let k = 0; k < out.length; k++) out[k] = data[outside[k]! + colour]! - data[inside[k]! + colour]!;
  return out;
}

/** How much die and stage differ, display values: in luma, and in the colour in which they differ most. */
interface Difference {
  readonly luma: number;
  readonly colour: number;
  readonly best: number;
}

function differenceOf(used: readonly Added[], outlines: readonly Pick<Outline, 'xy' | 'normal'>[]): Difference {
  const colours = used.map((a, i) => {
    const { crop } = a.survey;
    const [inside, outside] = [pixelsBeside(crop, outlines[i]!, -BESIDE), pixelsBeside(crop, outlines[i]!, BESIDE)];
    const own: number[] = [];
    for (let c = 0; c < 3; c++) own.push(median(differences(crop.data, inside, outside, c)));
    return own;
  });
  const mean = [0, 1, 2].map((c) => median(colours.map((d) => d[c]!)));
  const best = [0, 1, 2].reduce((p, c) => (Math.abs(mean[c]!) > Math.abs(mean[p]!) ? c : p), 0);
  return {
    luma: Math.abs(LUMA[0] * mean[0]! + LUMA[1] * mean[1]! + LUMA[2] * mean[2]!),
    colour: Math.abs(mean[best]!),
    best,
  };
}

/** The plane in which die and stage differ most: luma, or one colour where luma hardly tells them apart and the files keep it well enough. */
export function plainest(used: readonly Added[], coarse: readonly CoarseStand[]): Response['plane'] {
  const { luma, colour, best } = differenceOf(
    used,
    coarse.map((c) => c.outline),
  );
  if (colour < COLOUR_GAIN * colourCoarser(used, best) * luma) return LUMA;
  return byAxis((c) => (c === best ? 1 : 0));
}

/** Whether colour tells die and stage apart so much better than luma that it alone should be compared, were the files good enough. */
export function colourAlone(used: readonly Added[], outlines: readonly Outline[]): boolean {
  const { luma, colour } = differenceOf(used, outlines);
  return colour >= COLOUR_GAIN * luma;
}

/** What a photo's card edges say of its die's. */
const spreadOf = (a: Added): EdgeSpread | null => (blurredBehind(a) ? null : a.survey.spread);

/** Photos whose card edges are looked at for the camera's sharpening. */
const RESPONSE_PHOTOS = 3;

/** What the card's edges tell of a set's camera. */
export interface CameraResponse {
  readonly response: Response;
  /** Standard uncertainty of its sharpening. */
  readonly responseU: number;
  /** Per photo, px, one standard deviation. */
  readonly blurs: readonly number[];
}

/** The camera's sharpening, from the card's own edges; none where no card edge could be used. */
export function cameraResponse(used: readonly Added[], plane: Response['plane']): CameraResponse {
  const spreads = used.flatMap((a) => spreadOf(a) ?? []).slice(0, RESPONSE_PHOTOS);
  const found = spreads.map((s) => cardResponse(s, SRGB)).filter((c): c is CardResponse => c !== null);
  if (found.length === 0)
    return {
      response: { tone: SRGB, sharpening: 0, radius: 1.4, plane, colourBlur: HALF_COLOUR_BLUR },
      responseU: 0.25,
      blurs: ownBlurs(used, USUAL_BLUR, null),
    };
  const sharpening = median(found.map((c) => c.amount));
  const radius = median(found.map((c) => c.radius));
  const spread = found.length > 1 ? Math.max(...found.map((c) => Math.abs(c.amount - sharpening))) : 0.1;
  const blur = Math.max(0.35, median(found.map((c) => c.blur)));
  const width = median(spreads.map(spreadBlur));
  return {
    response: { tone: SRGB, sharpening, radius, plane, colourBlur: HALF_COLOUR_BLUR },
    responseU: Math.max(0.08, spread),
    blurs: ownBlurs(used, blur, width),
  };
}

/** Where no card edge tells, px. */
const USUAL_BLUR = 0.6;
/**
 * Rough blur of the die's edge from which it says more than the card's, and what it must be over that. The rim widens it, alike in all photos of a
 * die: by `over`, or by `apart` more than it is over the card's in the middle one of the set, where that is no more than `rim`.
 */
const BLURRED = { from: 1.45, over: 0.7, apart: 0.4, rim: 0.9 } as const;

/**
 * Where photos' blurs are sought first, px: where the set's card edges have it (`blur`, at a rough width of `width`), as much wider or narrower as
 * each photo's own are; by the die's own edge where that is far blurrier.
 */
function ownBlurs(used: readonly Added[], blur: number, width: number | null): number[] {
  const cards = used.map((a) => {
    const spread = spreadOf(a);
    const own = spread && width !== null ? spreadBlur(spread) ** 2 - width ** 2 : 0;
    // A spread's rough width scatters by some hundredths.
    return Math.abs(own) < OWN_BLUR ? blur : Math.sqrt(Math.max(0.35 ** 2, blur ** 2 + own));
  });
  const excess = used.flatMap((a, i) => (a.blur === null ? [] : [a.blur - cards[i]!]));
  const rim = excess.length === 0 ? 0 : Math.min(BLURRED.rim, median(excess));
  const over = Math.max(BLURRED.over, rim + BLURRED.apart);
  return used.map((a, i) => {
    const told = spreadOf(a) !== null && width !== null ? cards[i]! + over : 0;
    return a.blur !== null && a.blur > Math.max(BLURRED.from, told) ? a.blur : cards[i]!;
  });
}
/** Photos whose card edges' squared widths differ by less are taken as equally blurred, px^2. */
const OWN_BLUR = 0.25;
