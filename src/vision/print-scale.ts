import type { Mm, Px } from '../units.ts';
import { CARD } from '../geometry/card.ts';
import { scaled } from '../geometry/vec.ts';
import { success, type Result } from '../result.ts';
import {
  calibration,
  CAMERA_PRIOR,
  type Calibration,
  type CalibrationFailure,
  type CalibrationOptions,
} from './calibration.ts';
import type { CardSight } from './saddles.ts';

/** What is believed of a print that nobody measured, as standard deviations of logarithms; common practice. */
export const PRINT_PRIOR = {
  /**
   * Printed over designed length. Printers at "actual size" miss by some tenths of a per cent; "fit to page" takes 2 to 4 %. One such
   * print in five makes 1.4 % about the designed size, which is what most prints have.
   */
  common: 0.015,
  /** x over y: paper is fed one way and written along the other. */
  ratio: 0.006,
} as const;

/** Measured lengths of the card's two check bars, mm, null where nobody measured; their standard uncertainty, mm. */
export interface Bars {
  readonly checkBar: Mm | null;
  readonly checkBarY: Mm | null;
  readonly checkBarU: Mm;
}

/** How large the card was printed. */
export interface PrintScale {
  /** Printed over designed length along x and y, and their relative standard uncertainties. */
  readonly x: { readonly value: number; readonly u: number };
  readonly y: { readonly value: number; readonly u: number };
  /** Relative standard uncertainty of all lengths alike, the ratio of x to y taken as known; and the change of all lengths' log by that of the ratio's. */
  readonly u: number;
  readonly lean: number;
  /** What the bars say of x over y, less what the card's own points say, and the standard uncertainty of that; null without both bars. */
  readonly contradiction: { readonly bars: number; readonly card: number; readonly u: number } | null;
}

export type PrintedCalibration = Calibration & { readonly print: PrintScale };

/** Contradiction of bars and card, in standard uncertainties, from which it is told. */
export const CONTRADICTION = 3;

/**
 * Calibrates a camera on a card whose print may be stretched: its own points, seen by square pixels from several sides, tell x over y (to
 * some 0.005 %), and each bar tells how large it is. Two bars that contradict the ratio widen the scale's uncertainty to half of what
 * they are apart.
 */
export function printedCalibration(
  sights: readonly CardSight[],
  size: { readonly width: number; readonly height: number },
  focal: Px | null,
  bars: Bars,
  options: Partial<CalibrationOptions> = {},
): Result<PrintedCalibration, CalibrationFailure> {
  const { x, y, u } = relative(bars);
  const both = x !== null && y !== null;
  const start = both ? ([x, y] as const) : ([x ?? y ?? 1, x ?? y ?? 1] as const);
  const ratioU = both ? Math.min(Math.SQRT2 * u, PRINT_PRIOR.ratio) : PRINT_PRIOR.ratio;
  const found = calibration(sights, size, focal, start, {
    ...options,
    beliefs: { ...(options.beliefs ?? CAMERA_PRIOR), ratio: ratioU },
  });
  if (!found.ok) return found;
  const { value, u: uRatio } = found.value.ratio;
  const print = printScale(bars, { value: value + Math.log(start[0] / start[1]), u: uRatio });
  // The common size is no matter of the points: all lengths follow it.
  const grown = Math.sqrt((print.x.value * print.y.value) / (start[0] * start[1]));
  return success({
    ...found.value,
    cameraFromCard: found.value.cameraFromCard.map((m) => ({ ...m, shift: scaled(m.shift, grown) })),
    bow: scaled(found.value.bow, 1 / grown),
    print,
  });
}

/** The print's scale from its bars and the log of x over y that the card's points show. */
export function printScale(bars: Bars, ratio: { readonly value: number; readonly u: number }): PrintScale {
  const { x, y, u } = relative(bars);
  const said = [x === null ? null : Math.log(x) - ratio.value / 2, y === null ? null : Math.log(y) + ratio.value / 2];
  const known = said.filter((v) => v !== null);
  const common = known.reduce((s, v) => s + v, 0) / Math.max(1, known.length);
  const apart = known.length === 2 ? known[0]! - known[1]! : 0;
  const own = known.length === 0 ? PRINT_PRIOR.common : u / Math.sqrt(known.length);
  const uCommon = Math.max(own, Math.abs(apart) / 2);
  const lean = known.length === 1 ? (x === null ? 0.5 : -0.5) : 0;
  const along = (half: number): PrintScale['x'] => ({
    value: Math.exp(common + half * ratio.value),
    u: Math.hypot(uCommon, (lean + half) * ratio.u),
  });
  return {
    x: along(0.5),
    y: along(-0.5),
    u: uCommon,
    lean,
    contradiction:
      known.length === 2
        ? { bars: apart + ratio.value, card: ratio.value, u: Math.hypot(Math.SQRT2 * u, ratio.u) }
        : null,
  };
}

function relative({ checkBar, checkBarY, checkBarU }: Bars): Record<'x' | 'y', number | null> & { readonly u: number } {
  const of = (bar: number | null): number | null => (bar === null ? null : bar / CARD.checkBar);
  return { x: of(checkBar), y: of(checkBarY), u: checkBarU / CARD.checkBar };
}
