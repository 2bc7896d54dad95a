import { COVERAGE, decimal, places, withUnit } from './format.ts';
import { keptChoice } from './kept-settings.svelte.ts';

/** Unit of all lengths of a die on the page: one switch, kept. */
export const units = keptChoice('units', ['mm', 'inch']);

/** A thousandth of an inch, mm; exact (the international inch, 1959). */
export const MIL = 0.0254;
const THOUSANDTHS = 'inch/1000';

const metric = (): boolean => units.current === 'mm';

/** Units of lengths and of small differences. */
export const lengthUnit = (): string => (metric() ? 'mm' : THOUSANDTHS);
export const smallUnit = (): string => (metric() ? 'µm' : THOUSANDTHS);

/** How many small units a millimetre has. */
export const smallPerMm = (): number => (metric() ? 1000 : 1 / MIL);

/** A length and its U95, mm and its standard uncertainty given, as bare numbers with the places that the doubt warrants. */
export function lengthPair(value: number, u: number): readonly [string, string] {
  const factor = metric() ? 1 : 1 / MIL;
  const digits = places(COVERAGE * u * factor);
  return [decimal(value * factor, digits), decimal(COVERAGE * u * factor, digits)];
}

/** `value ± U95` with its unit. */
export const lengthText = (value: number, u: number): string =>
  withUnit(lengthPair(value, u).join(' ± '), lengthUnit());

/** A length without doubt, to a tenth of a millimetre or some thousandths of an inch. */
export const roughLength = (value: number): string =>
  withUnit(decimal(metric() ? value : value / MIL, metric() ? 1 : 0), lengthUnit());

/** A small difference and its U95 as bare numbers. */
export function smallPair(value: number, u: number, sign = true): readonly [string, string] {
  const factor = smallPerMm();
  const digits = Math.min(2, places(COVERAGE * u * factor));
  return [decimal(value * factor, digits, sign), decimal(COVERAGE * u * factor, digits)];
}

export const smallText = (value: number, u: number): string => withUnit(smallPair(value, u).join(' ± '), smallUnit());

/** A small length without doubt, in mm given: two digits of it. */
export function small(value: number, sign = false): string {
  const n = value * smallPerMm();
  const digits = n === 0 ? 0 : Math.min(2, Math.max(0, 1 - Math.floor(Math.log10(Math.abs(n)) + 1e-9)));
  return withUnit(decimal(n, digits, sign), smallUnit());
}
