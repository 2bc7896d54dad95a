const THIN = '\u202f';

/**
 * A number with its digits in groups of three by thin spaces in every language: a mark between them would be another language's decimal mark.
 * Source: BIPM, The International System of Units (SI Brochure, 9th edition), 5.4.4.
 */
export const grouped = (format: Intl.NumberFormat, value: number): string =>
  format
    .formatToParts(value)
    .map(({ type, value: part }) => (type === 'group' ? THIN : part))
    .join('');
