import { BANK_CARD, BANK_CARD_MAKE } from './size.ts';
import { CARD } from '../geometry/card.ts';
import type { FittedSide } from './side.ts';
import { CAMERA_PRIOR, type Calibration } from '../vision/calibration.ts';

/** Standard uncertainties that a photo does not show; judgements where no source is named. */
export const BANK_TYPE_B = {
  /** All edges further out or in by one amount (tone curve, glare along the rim, sharpening), px. */
  edge: 0.2,
  /** The rim is rounded and worn: which line of it is outlined, mm, each side. */
  rim: 0.03,
  /** Heights over the print that are not the bank card's thickness: it is a little bent, paper is not flat; mm. */
  height: 0.15,
} as const;

/** Standard uncertainties of the two check bars' lengths by source, mm. */
export interface BankDoubt {
  readonly x: number;
  readonly y: number;
  readonly sources: readonly { readonly source: BankSource; readonly x: number; readonly y: number }[];
}
export type BankSource = 'size' | 'edges' | 'rim' | 'height' | 'camera';

/** What the doubt is worked out from. */
interface Seen {
  readonly sides: readonly FittedSide[];
  /** How broad the bank card's own side is seen at each of its sides, mm. */
  readonly walls: readonly number[];
  readonly calibration: Calibration;
  /** Focal length that the photo's own data state, px, or null. */
  readonly focal: number | null;
  readonly eye: readonly [number, number, number];
  /** px per mm. */
  readonly scale: number;
}

/** Doubt of the bars' lengths: each source's share in the bank card's apparent size, drawn out to the bar's length. */
export function bankDoubt({ sides, walls, calibration: { sigma, kept }, focal, eye, scale }: Seen): BankDoubt {
  const { thickness, thicknessTolerance, widthTolerance, heightTolerance } = BANK_CARD_MAKE;
  const { edge, rim, height } = BANK_TYPE_B;
  const points = kept[0]!.filter(Boolean).length;
  // One photo from above hardly shows the focal length: what is known of it beforehand is taken, whatever the fit says.
  const distance = focal === null ? CAMERA_PRIOR.focalUnknown : CAMERA_PRIOR.focal;
  const shared = [0, 1].map((axis): Readonly<Record<BankSource, number>> => {
    const size = axis === 0 ? BANK_CARD.width : BANK_CARD.height;
    const [one, other] = [sides[axis]!, sides[axis + 2]!];
    const stray = Math.hypot(one.u, other.u);
    // Somewhere across the side that is in sight, all places alike.
    const seen = Math.hypot(walls[axis]!, walls[axis + 2]!) / Math.sqrt(12);
    const heights = Math.hypot(thicknessTolerance / Math.sqrt(3), height);
    return {
      size: (axis === 0 ? widthTolerance : heightTolerance) / Math.sqrt(3) / size,
      edges: Math.hypot(stray, (2 * edge) / scale) / size,
      rim: Math.hypot(Math.SQRT2 * rim, seen) / size,
      height: heights / eye[2],
      // Focal length and distance go together: the share that the thickness adds is as doubtful as they are.
      camera: Math.hypot((thickness / eye[2]) * distance, (2 * sigma) / scale / size / Math.sqrt(points)),
    };
  });
  const sources = (Object.keys(shared[0]!) as BankSource[]).map((source) => ({
    source,
    x: CARD.checkBar * shared[0]![source],
    y: CARD.checkBar * shared[1]![source],
  }));
  return { x: Math.hypot(...sources.map((s) => s.x)), y: Math.hypot(...sources.map((s) => s.y)), sources };
}
