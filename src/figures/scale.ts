import type { Language } from '../text/language.ts';

/** A round step, 1, 2 or 5 times a power of ten, of which `count` or fewer fit into `span`. */
export function roundStep(span: number, count: number): number {
  const rough = span / count;
  const power = 10 ** Math.floor(Math.log10(rough));
  return [1, 2, 5, 10].map((m) => m * power).find((step) => step >= rough * (1 - 1e-9))!;
}

/** Multiples of `step` from `low` to `high`. */
export function ticks(low: number, high: number, step: number): number[] {
  const out: number[] = [];
  for (let i = Math.ceil(low / step - 1e-9); i * step <= high + 1e-9 * step; i++) out.push(i * step);
  return out;
}

/** Decimals that tell multiples of `step` apart. */
export const decimalsOf = (step: number): number => Math.max(0, -Math.floor(Math.log10(step) + 1e-9));

/** A number with a true minus sign; `plus` puts a sign before positive ones as well. */
export const told = (x: number, decimals: number, plus = false): string => {
  const text = Math.abs(x).toFixed(decimals);
  return Number(text) === 0 ? text : x < 0 ? `\u2212${text}` : plus ? `+${text}` : text;
};

/** {@link told} with the decimal mark of a language. */
export const toldIn = (language: Language): typeof told =>
  language === 'de' ? (x, decimals, plus) => told(x, decimals, plus).replace('.', ',') : told;
