import { COVERAGE_FACTOR } from '../../judging/decision.ts';
import { told } from '../../figures/scale.ts';

/** Decimals that show an expanded uncertainty to two digits, 5 at most. */
export function decimalsFor(U95: number): number {
  if (!(U95 > 0) || !Number.isFinite(U95)) return 4;
  return Math.min(5, Math.max(0, 1 - Math.floor(Math.log10(U95) + 1e-9)));
}

/** Value and U95 with as many decimals as the doubt allows, without unit. */
export function valueAndU95(value: number, u: number): readonly [string, string] {
  const U = COVERAGE_FACTOR * u;
  const d = decimalsFor(U);
  return [told(value, d), told(U, d)];
}

/** "15.837 mm \u00b1 0.098 mm". */
export function plusMinus(value: number, u: number, unit = 'mm'): string {
  const [v, U] = valueAndU95(value, u);
  return `${v} ${unit} \u00b1 ${U} ${unit}`;
}

/** A length as someone stated it. */
export const plain = (x: number): string => told(Number(x.toPrecision(6)), 0).length > 0 ? String(Number(x.toPrecision(6))).replace('-', '\u2212') : ''; // prettier-ignore

/** A probability; never 0 % or 100 %, which no measurement gives. */
export function probability(p: number): string {
  if (p > 0.999) return 'over 99.9 %';
  if (p < 0.001) return 'under 0.1 %';
  return `${(100 * p).toFixed(1)} %`;
}

export const percent = (x: number, decimals = 2): string => `${told(100 * x, decimals)} %`;

/** Digits that matter, thousands parted. */
export function count(x: number): string {
  if (!Number.isFinite(x)) return 'no end of';
  const digits = Number(x.toPrecision(2));
  return digits >= 1000 ? digits.toFixed(0).replace(/\B(?=(\d{3})+$)/g, '\u202f') : String(digits);
}
