import { CHECK_BAR_RANGE, CHECK_BAR_U } from '../../formats/job.ts';
import { decimal, typedNumber } from '../kit/format.ts';

/** Doubts of a reading that make sense, mm: from a good caliper's to a slip of two millimetres. */
export const BAR_U_RANGE = [0.005, 2] as const;

/** Something typed: its number, null where nothing was typed or it cannot be one; `wrong` tells the two apart. */
export interface TypedLength {
  readonly length: number | null;
  readonly wrong: boolean;
}

/** What `bars` holds as kept. */
export interface BarTexts {
  readonly x: string;
  readonly y: string;
  readonly u: string;
}

/** The lengths of a printed card's two check bars, as typed, and the standard uncertainty of the reading. */
export class BarsEntry {
  x = $state('');
  y = $state('');
  u = $state(decimal(CHECK_BAR_U, 2));
  readonly lengths: readonly [TypedLength, TypedLength] = $derived([
    typed(this.x, CHECK_BAR_RANGE),
    typed(this.y, CHECK_BAR_RANGE),
  ]);
  readonly doubt: TypedLength = $derived(typed(this.u, BAR_U_RANGE));
  /** How many of the two bars are known. */
  readonly known = $derived(this.lengths.filter(({ length }) => length !== null).length);

  get texts(): BarTexts {
    return { x: this.x, y: this.y, u: this.u };
  }

  set texts({ x, y, u }: BarTexts) {
    this.x = x;
    this.y = y;
    this.u = u;
  }
}

function typed(text: string, [least, most]: readonly [number, number]): TypedLength {
  const value = typedNumber(text);
  if (value === null) return { length: null, wrong: false };
  const fits = value >= least && value <= most;
  return { length: fits ? value : null, wrong: !fits };
}
