/**
 * Branded numbers: millimetres handed over as pixels do not compile.
 *
 * A brand costs nothing at run time. Arithmetic on branded numbers yields a plain `number`; the place that knows the unit brands it again.
 */
declare const unit: unique symbol;

/** A length in millimetres. */
export type Mm = number & { readonly [unit]?: 'mm' };
/** A length in picture pixels; the centre of the top left pixel is (0, 0). */
export type Px = number & { readonly [unit]?: 'px' };
/** An angle in radians. */
export type Radians = number & { readonly [unit]?: 'rad' };

export const mm = (value: number): Mm => value as Mm;
export const px = (value: number): Px => value as Px;
export const radians = (degrees: number): Radians => ((degrees * Math.PI) / 180) as Radians;
export const degrees = (angle: Radians): number => (angle * 180) / Math.PI;
