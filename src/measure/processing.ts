import { median } from '../maths/linear.ts';
import { spreadBlur } from '../vision/card-response.ts';
import { grainBlur } from '../vision/stage-grain.ts';
import type { Note } from '../formats/result.ts';
import type { Added } from './look.ts';

/**
 * Signs that a program drew the photos anew, against what a lens and a sensor do. Undisturbed sets (fifteen of known truth) have card edges at
 * most 1.4 times as wide as the die's, grain that neighbours share to 0.35 px, and overshoots of 3 to 6 %.
 */
export const PROCESSING = {
  /** Die and card lie as far away: the card's edges are blurred by so many times the die's, and by so much more, px, in a portrait mode alone. */
  background: { times: 1.6, over: 0.8 },
  /**
   * What smooths grain smooths edges as much, unless it looks where edges are: grain spread over more than this share of the width of the
   * card's edges was smoothed by such a filter. Only where there is so much of it, display values, and the file's rounding is no finer.
   */
  smoothed: { share: 0.95, least: 0.5, quality: 90 },
  /** Overshoot beside the card's edges, share of black to white. */
  sharpened: 0.09,
  /** The print's black and white clipped, display values, though the stage is not burnt: contrast was raised from place to place. */
  contrast: { black: 1.2, white: 250, stage: 240 },
} as const;

/** What was done to the photos, if anything; how doubtful edges are for it, px, all alike, and how many times larger the doubt of shape is. */
export interface Processing {
  readonly note: Note | null;
  readonly edge: number;
  readonly shape: number;
}

/** Doubts by kind: chosen among plausible values with sets of known truth in view. */
const DOUBT = {
  background: { edge: 0.3, shape: 3 },
  smoothed: { edge: 0.2, shape: 2.2 },
  sharpened: { edge: 0.1, shape: 1.5 },
  contrast: { edge: 0.15, shape: 1.5 },
} as const;

const NOTHING: Processing = { note: null, edge: 0, shape: 1 };

/** What programs did to most photos of a set; the likeliest alone. */
export function processingOf(used: readonly Added[]): Processing {
  return background(used) ?? smoothed(used) ?? sharpened(used) ?? contrasty(used) ?? NOTHING;
}

/** The middle one of what photos say; null where fewer than half say anything. */
function middle(used: readonly Added[], of: (a: Added) => number | null): number | null {
  const told = used.flatMap((a) => of(a) ?? []);
  return 2 * told.length < used.length || told.length === 0 ? null : median(told);
}

/**
 * Grain that a picture's neighbours share was smoothed in display values (resampling, softening): a lens smooths no grain. So much is usual, px (quality 90 rounds fine grain to 0.43); and
 * so far an edge may seem shifted, per px: half-way up in display values is not half-way up in light, by 0.2 to 0.45 of the blur at contrasts of 2 to 13.
 */
const DISPLAY_BLUR = { usual: 0.45, edge: 0.3 } as const;

/** Grain spread over so much, px, or gone, was smoothed for sure; what a format's rounding leaves of it tells nothing. */
const SMOOTH_STAGE = 0.6;

/** Whether the stage's own grain shows that it was smoothed, in most photos: neighbours share it, or none is left. */
export function smoothStage(used: readonly Added[]): boolean {
  const { least, quality } = PROCESSING.smoothed;
  const smooth = used.filter(
    ({ coding, survey: { grain } }) =>
      grain !== null &&
      (coding === null || coding.quality >= quality) &&
      (grain.coarse <= least || grainBlur(grain) > SMOOTH_STAGE),
  );
  return 2 * smooth.length > used.length;
}

/** How doubtful edges are, px, because they were smoothed as shown and are modelled as blurred in light; 0 where the file's rounding hides the grain. */
export function displayBlurDoubt(used: readonly Added[]): number {
  const { least, quality } = PROCESSING.smoothed;
  if (used.some((a) => a.coding !== null && a.coding.quality < quality)) return 0;
  const seen = middle(used, ({ survey: { grain } }) => (grain && grain.coarse > least ? grainBlur(grain) : null)) ?? 0;
  return DISPLAY_BLUR.edge * Math.sqrt(Math.max(0, seen ** 2 - DISPLAY_BLUR.usual ** 2));
}

const cardWidth = ({ survey: { spread } }: Added): number | null => spread && spreadBlur(spread);

/** Whether a photo's card is blurred where its die is not: then the card's edges say nothing of the die's. */
export function blurredBehind(a: Added): boolean {
  const card = cardWidth(a);
  const { times, over } = PROCESSING.background;
  return card !== null && a.blur !== null && card > times * a.blur && card > a.blur + over;
}

function background(used: readonly Added[]): Processing | null {
  const behind = used.filter(blurredBehind);
  if (2 * behind.length < used.length) return null;
  const [card, die] = [median(behind.map((a) => cardWidth(a)!)), median(behind.map((a) => a.blur!))];
  return { note: { code: 'background-blur', seen: card.toFixed(1), needed: die.toFixed(1) }, ...DOUBT.background };
}

function smoothed(used: readonly Added[]): Processing | null {
  const { share, least, quality } = PROCESSING.smoothed;
  if (used.some((a) => a.coding !== null && a.coding.quality < quality)) return null;
  const told = middle(used, ({ survey: { grain } }) => (grain && grain.coarse > least ? grainBlur(grain) : null));
  const width = middle(used, cardWidth);
  if (told === null || width === null || told < share * width) return null;
  return { note: { code: 'smoothed', seen: told.toFixed(1), needed: width.toFixed(1) }, ...DOUBT.smoothed };
}

function sharpened(used: readonly Added[]): Processing | null {
  const over = middle(used, ({ survey: { spread } }) =>
    spread ? (Math.max(...spread.luma) - spread.white) / (spread.white - spread.black) : null,
  );
  if (over === null || over < PROCESSING.sharpened) return null;
  const seen = Math.round(100 * over);
  return { note: { code: 'sharpened', seen, needed: 100 * PROCESSING.sharpened }, ...DOUBT.sharpened };
}

function contrasty(used: readonly Added[]): Processing | null {
  const { black, white, stage } = PROCESSING.contrast;
  const clipped = used.filter(
    ({ survey: s }) => s.spread && s.spread.black < black && s.spread.white > white && Math.max(...s.stage) < stage,
  );
  if (2 * clipped.length <= used.length) return null;
  const seen = Math.round(median(clipped.map((a) => a.survey.spread!.white)));
  const needed = Math.round(median(clipped.map((a) => Math.max(...a.survey.stage))));
  return { note: { code: 'contrast-raised', seen, needed }, ...DOUBT.contrast };
}
