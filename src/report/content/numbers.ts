import { COVERAGE_FACTOR } from '../../judging/decision.ts';
import { told } from '../../figures/scale.ts';
import type { Catalogue } from '../../text/language.ts';
import { germanNumbers } from '../../text/notes.ts';

/** Decimals that show an expanded uncertainty to two digits, 5 at most. */
export function decimalsFor(U95: number): number {
  if (!(U95 > 0) || !Number.isFinite(U95)) return 4;
  return Math.min(5, Math.max(0, 1 - Math.floor(Math.log10(U95) + 1e-9)));
}

const en = {
  mark: (text: string): string => text,
  over: 'over',
  under: 'under',
  endless: 'no end of',
  date: (iso: string): string => iso,
};
const de: typeof en = {
  mark: (text) => germanNumbers(text).replace(/^-/, '\u2212'),
  over: 'über',
  under: 'unter',
  endless: 'unbegrenzt viele',
  date: (iso) => iso.replace(/^(\d{4})-(\d\d)-(\d\d)$/, '$3.$2.$1'),
};
const WRITTEN = { en, de } satisfies Catalogue<typeof en>;

/** How a report in one language writes numbers and dates. */
export interface ReportNumbers {
  /** So many decimals, with a true minus; `plus` puts a sign before positive ones as well. */
  told(x: number, decimals: number, plus?: boolean): string;
  /** The same with a plain hyphen for a minus, as tables of the fit have it. */
  fixed(x: number, decimals: number): string;
  /** So many digits that matter. */
  digits(x: number, count: number): string;
  /** As short as it can be told. */
  short(x: number): string;
  /** A length as someone stated it. */
  plain(x: number): string;
  /** Value and U95 with as many decimals as the doubt allows, without unit. */
  valueAndU95(value: number, u: number): readonly [string, string];
  /** "15.837 mm \u00b1 0.098 mm". */
  plusMinus(value: number, u: number, unit?: string): string;
  /** A probability; never 0 % or 100 %, which no measurement gives. `bare`: without "over" or "under". */
  probability(p: number, bare?: boolean): string;
  percent(x: number, decimals?: number): string;
  /** Digits that matter, thousands parted. */
  count(x: number): string;
  /** A date given as YYYY-MM-DD; anything else as it is. */
  date(iso: string): string;
}

function numbers({ mark, over, under, endless, date }: typeof en): ReportNumbers {
  const at = (x: number, decimals: number, plus = false): string => mark(told(x, decimals, plus));
  const valueAndU95 = (value: number, u: number): readonly [string, string] => {
    const U = COVERAGE_FACTOR * u;
    const d = decimalsFor(U);
    return [at(value, d), at(U, d)];
  };
  return {
    told: at,
    fixed: (x, decimals) => mark(x.toFixed(decimals)),
    digits: (x, count) => mark(x.toPrecision(count)),
    short: (x) => mark(String(x)),
    plain: (x) => mark(String(Number(x.toPrecision(6))).replace('-', '\u2212')),
    valueAndU95,
    plusMinus: (value, u, unit = 'mm') =>
      valueAndU95(value, u)
        .map((t) => `${t}\u00a0${unit}`)
        .join(' \u00b1 '),
    probability(p, bare = false) {
      if (p > 0.999) return `${bare ? '' : `${over} `}${mark('99.9')}\u00a0%`;
      if (p < 0.001) return `${bare ? '' : `${under} `}${mark('0.1')}\u00a0%`;
      return `${mark((100 * p).toFixed(1))}\u00a0%`;
    },
    percent: (x, decimals = 2) => `${at(100 * x, decimals)}\u00a0%`,
    count(x) {
      if (!Number.isFinite(x)) return endless;
      const digits = Number(x.toPrecision(2));
      return digits >= 1000 ? digits.toFixed(0).replace(/\B(?=(\d{3})+$)/g, '\u202f') : mark(String(digits));
    },
    date,
  };
}

/** Numbers and dates by the language of the report. */
export const NUMBERS: Catalogue<ReportNumbers> = { en: numbers(WRITTEN.en), de: numbers(WRITTEN.de) };
