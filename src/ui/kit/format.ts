import { grouped } from '../../text/grouped.ts';
import { language } from './language.svelte.ts';

/** Numbers as the reader writes them: decimal mark of the language in use, thousands by a thin space, a true minus, the unit behind each. */

/** Expanded uncertainty is this many standard uncertainties: about 95 % (JCGM 100:2008, 6.3.3). */
export const COVERAGE = 2;

const THIN = '\u202f';
const MINUS = '\u2212';

/** Places after the decimal mark that leave an uncertainty two significant digits (JCGM 100:2008, 7.2.6); 0 to 4. */
export function places(uncertainty: number): number {
  if (!(uncertainty > 0)) return 3;
  return Math.min(4, Math.max(0, 1 - Math.floor(Math.log10(uncertainty) + 1e-9)));
}

/** Making a formatter takes longer than using it. */
const formatters: Record<string, Intl.NumberFormat> = {};

/** A number with so many places; `sign` puts a plus before what is above zero. */
export function decimal(value: number, digits: number, sign = false): string {
  const formatter = (formatters[`${language.locale} ${digits}${sign}`] ??= new Intl.NumberFormat(language.locale, {
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
    signDisplay: sign ? 'exceptZero' : 'negative',
  }));
  return grouped(formatter, value).replace('-', MINUS);
}

export const withUnit = (number: string, unit: string): string => `${number}${THIN}${unit}`;

/** Millimetres, with the places that `uncertainty` (mm) warrants. */
export const millimetres = (value: number, uncertainty: number): string =>
  withUnit(decimal(value, places(uncertainty)), 'mm');

/** A length in mm, told in micrometres. */
export const micrometres = (value: number, digits = 0, sign = false): string =>
  withUnit(decimal(value * 1000, digits, sign), 'µm');

/** A fraction, told in per cent. */
export const percent = (fraction: number, digits = 0): string => withUnit(decimal(fraction * 100, digits), '%');

/** Places for micrometres of which `uncertainty` (mm) is the doubt. */
export const microPlaces = (uncertainty: number): number => Math.min(1, places(uncertainty * 1000));

/** A length as typed, with either decimal mark; null for nothing, NaN for what is no number. */
export function typedNumber(text: string): number | null {
  const bare = text.trim().replace(',', '.');
  if (bare === '') return null;
  return /^\d+(\.\d*)?$/.test(bare) ? Number(bare) : NaN;
}

/** A number as the reader would type it: the mark of the language in use, nothing grouped; {@link typedNumber} reads it. */
export const typedText = (value: number): string =>
  language.current === 'de' ? String(value).replace('.', ',') : String(value);

/** A number as typed that may be below zero, with either decimal mark; null for nothing and for what is no number. */
export function signedNumber(text: string): number | null {
  const bare = text.trim().replace(/^[\u2212-]/, '');
  const value = typedNumber(bare);
  if (value === null || Number.isNaN(value)) return null;
  return bare === text.trim().replace(/^\+/, '') ? value : -value;
}

/** A span of time, told in whole seconds or minutes: "12 s", "3 min". */
export const seconds = (value: number): string =>
  value < 90 ? withUnit(decimal(Math.ceil(value), 0), 's') : withUnit(decimal(value / 60, 0), 'min');

/** `value ± U95`, both with the places that the doubt warrants. */
export function withDoubt(value: number, u: number): string {
  const digits = places(COVERAGE * u);
  return withUnit(`${decimal(value, digits)} ± ${decimal(COVERAGE * u, digits)}`, 'mm');
}

/** Bytes, told in megabytes or gigabytes. */
export const megabytes = (bytes: number): string =>
  bytes < 1e9 ? withUnit(decimal(bytes / 1e6, bytes < 1e7 ? 1 : 0), 'MB') : withUnit(decimal(bytes / 1e9, 1), 'GB');

/** A moment (milliseconds since 1970) as date and time of day, as the reader writes them. */
export const moment = (ms: number): string =>
  new Intl.DateTimeFormat(language.locale, { dateStyle: 'medium', timeStyle: 'short' }).format(ms);

/** The time of day of a moment, as the reader writes it. */
export const timeOfDay = (ms: number): string =>
  new Intl.DateTimeFormat(language.locale, { timeStyle: 'short' }).format(ms);

const pad = (n: number): string => String(n).padStart(2, '0');

/** The day of a moment as the person's calendar has it, YYYY-MM-DD: what files state. */
export function day(ms: number): string {
  const date = new Date(ms);
  return `${date.getFullYear()}-${pad(date.getMonth() + 1)}-${pad(date.getDate())}`;
}
