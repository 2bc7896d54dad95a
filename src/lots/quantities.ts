import type { Quantity } from '../formats/result.ts';
import { knownOf } from './components.ts';
import { FAMILIES, type Family, type Limited, type Lot, type LotDie } from './lot.ts';

/** One quantity of every die of a lot. */
export interface LotQuantity {
  /** "meanAxis", "axis 1-20", "corner 1-2-3", "face 7". */
  readonly key: string;
  readonly family: Family | 'die';
  readonly name: string;
  /** Which limits hold for it; null: none. */
  readonly limited: Limited | null;
  readonly values: readonly number[];
  /** Standard uncertainty of each. */
  readonly us: readonly number[];
  /** Of the measurement: variance drawn anew for each die (mean over the dice), and variance that all dice share; mm^2. */
  readonly own: number;
  readonly repeated: number;
}

/** What is judged of a die as a whole. */
export const WHOLE = ['meanAxis', 'rangeOfAxes', 'meanCornerRadius'] as const;

const WHOLE_FAMILY = { meanAxis: 'axes', rangeOfAxes: 'axes', meanCornerRadius: 'corners' } as const;
const LIMITED_FAMILY = { axes: 'axis', corners: 'corner', faces: null } as const;
const SINGULAR = { axes: 'axis', corners: 'corner', faces: 'face' } as const;

/** All quantities of a lot, those of the whole die first. An empty lot has none. */
export function quantities({ dice }: Lot): readonly LotQuantity[] {
  if (dice.length === 0) return [];
  const whole = WHOLE.map((key): LotQuantity => {
    const known = knownOf(
      dice.map((d) => d.doubt[WHOLE_FAMILY[key]]),
      dice.map((d) => d.card),
    );
    // A range is a difference of two; a mean is common.
    const [own, repeated] =
      key === 'rangeOfAxes' ? [known.ownDifference, known.repeatedDifference] : [known.ownMean, known.repeatedMean];
    return {
      key,
      family: 'die',
      name: key,
      limited: key,
      ...parts(
        dice.map((d) => d[key]),
        own,
        repeated,
      ),
    };
  });
  return [...whole, ...crown(dice), ...FAMILIES.flatMap((family) => members(dice, family))];
}

/** The faces' mean crown, where it is known of every die; its doubt repeats as that of radii does, which hang on the same light. */
function crown(dice: readonly LotDie[]): LotQuantity[] {
  const list = dice.flatMap(({ meanCrown }) => (meanCrown ? [meanCrown] : []));
  if (list.length < dice.length) return [];
  const known = knownOf(
    dice.map((d) => d.doubt.corners),
    dice.map((d) => d.card),
  );
  const own = parts(list, known.ownMean, known.repeatedMean);
  return [{ key: 'meanCrown', family: 'die', name: 'meanCrown', limited: null, ...own }];
}

function members(dice: readonly LotDie[], family: Family): LotQuantity[] {
  const known = knownOf(
    dice.map((d) => d.doubt[family]),
    dice.map((d) => d.card),
  );
  const own = known.ownMean + known.ownDifference;
  const repeated = known.repeatedMean + known.repeatedDifference;
  return dice[0]![family].map(({ name }, i): LotQuantity => ({
    key: `${SINGULAR[family]} ${name}`,
    family,
    name,
    limited: LIMITED_FAMILY[family],
    ...parts(
      dice.map((d) => d[family][i]!),
      own,
      repeated,
    ),
  }));
}

/** The variances of the family scaled to what the quantity itself states. */
function parts(
  list: readonly Quantity[],
  own: number,
  repeated: number,
): Pick<LotQuantity, 'values' | 'us' | 'own' | 'repeated'> {
  const us = list.map((q) => q.u);
  const stated = us.reduce((s, u) => s + u * u, 0) / us.length;
  const scale = own + repeated > 0 ? stated / (own + repeated) : 0;
  return { values: list.map((q) => q.value), us, own: own * scale, repeated: repeated * scale };
}
