import { BANK_CARD } from '../../bank-card/size.ts';
import { CARD } from '../../geometry/card.ts';

/**
 * Smallest difference between the printed frame and a bank card that an eye tells, as a standard uncertainty, mm: a line's own
 * thickness. A bank card's own size is good to 0.08 mm (ISO/IEC 7810, 5.1: 85.47 to 85.72 by 53.92 to 54.03 mm; from memory).
 */
export const FRAME_U = 0.2;
/** Larger differences are no printer's: the card was not printed for this, or the number is in another unit. */
export const FRAME_RANGE = [-5, 5] as const;

/** What a comparison with a bank card says about the check bars, mm. */
export interface BarsByFrame {
  readonly x: number;
  readonly y: number;
  /** Of the less certain of the two. */
  readonly u: number;
}

/**
 * Lengths of the check bars from how much wider and higher the printed frame is than the bank card laid in it.
 *
 * @param wider   Frame minus card along the long side, mm; negative where the card covers the frame.
 * @param higher  The same along the short side.
 */
export function barsByFrame(wider: number, higher: number): BarsByFrame {
  const { width, height } = BANK_CARD;
  return {
    x: (CARD.checkBar * (width + wider)) / width,
    y: (CARD.checkBar * (height + higher)) / height,
    u: (CARD.checkBar * FRAME_U) / Math.min(width, height),
  };
}
