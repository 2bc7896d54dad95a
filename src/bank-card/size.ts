import { mm } from '../units.ts';

/**
 * A bank card: size ID-1 of ISO/IEC 7810:2019, clause 5, mm.
 *
 * The tolerances of a new card (85.47 to 85.72 by 53.92 to 54.03 mm, 0.68 to 0.84 mm thick) are from memory.
 */
export const BANK_CARD = { width: mm(85.6), height: mm(53.98) } as const;

/** What else of ID-1 a photo of one asks for, mm: half the span of its tolerances, its thickness, its corners' largest radius. */
export const BANK_CARD_MAKE = {
  widthTolerance: 0.125,
  heightTolerance: 0.06,
  thickness: 0.76,
  thicknessTolerance: 0.08,
  cornerRadius: 3.48,
} as const;
