import type { MeasureResult } from '../../formats/result.ts';

/** A length of a sample as it is measured where the page is made, mm; its doubt `u` is without that of the scale. */
export interface KnownLength {
  readonly name: string;
  readonly value: number;
  readonly u: number;
}

/** What `known.json` of a sample holds. */
export interface KnownSample {
  readonly axes: readonly KnownLength[];
  readonly meanCornerRadius: Omit<KnownLength, 'name'>;
}

/** How what this browser measured compares with what is known. */
export interface SelfTestFound {
  /** Milliseconds since 1970. */
  readonly at: number;
  /** Whether all lies within the limits; false too where nothing was measured. */
  readonly agrees: boolean;
  /** The farthest that any length lies from the known one, mm; null where nothing was measured. */
  readonly apart: number | null;
}

/** Browsers decode photos a little differently, and their sines end in other digits: a length may lie so far from the known one, as a share of its doubt u. */
const SHARE_OF_DOUBT = 0.1;

/** What is known of a sample, from what was measured of it. */
export const knownOf = ({ axes, meanCornerRadius: { value, u } }: MeasureResult): KnownSample => ({
  axes: axes.map(({ name, length, uDifference }) => ({ name, value: length, u: uDifference })),
  meanCornerRadius: { value, u },
});

const lengthsOf = (of: KnownSample): KnownLength[] => [...of.axes, { name: '', ...of.meanCornerRadius }];

/** How far each length of a sample may lie from the known one, mm; of several lengths the least. */
export const allowedApart = (known: KnownSample): number =>
  SHARE_OF_DOUBT * Math.min(...lengthsOf(known).map(({ u }) => u));

/** Compares a result with what is known of the sample. */
export function compared(known: KnownSample, measured: KnownSample, at: number): SelfTestFound {
  const found = new Map(lengthsOf(measured).map(({ name, value }) => [name, value]));
  const apart = lengthsOf(known).map(({ name, value }) => Math.abs((found.get(name) ?? NaN) - value));
  const within = lengthsOf(known).every(({ u }, i) => apart[i]! <= SHARE_OF_DOUBT * u);
  const most = Math.max(...apart);
  return { at, agrees: within, apart: Number.isNaN(most) ? null : most };
}
