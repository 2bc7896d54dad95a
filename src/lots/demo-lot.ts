import { dieSolid } from '../geometry/solid.ts';
import { seededNormal, seededRandom } from '../maths/random.ts';
import { NO_LIMITS, type Doubt, type Length, type Lot, type LotDie } from './lot.ts';
import { mean } from './moments.ts';

/**
 * An invented lot with known causes: 40 twenty-sided dice from a mould of four cavities, tumbled 2 to 20 hours, four dice taken out
 * every two hours. Lengths in mm. Nothing of it was measured.
 */
export const DEMO = {
  dice: 40,
  cavities: 4,
  axis: 20.2,
  /** Standard deviations: pattern of axes on every die, pattern of a cavity beside it, size by die, scatter of each axis. */
  pattern: 0.03,
  cavityPattern: 0.015,
  size: 0.006,
  scatter: 0.01,
  /** Size of each cavity against the mean. */
  cavitySize: [0.012, -0.004, 0.002, -0.01],
  /** Mean corner radius at no tumbling and per hour; axes lose per hour. */
  radius: 0.4,
  radiusPerHour: 0.022,
  axisPerHour: -0.0015,
  /** This die lies apart: its longest axis was ground. */
  odd: 'H-27',
  oddBy: 0.14,
} as const;

const DOUBT: { readonly axes: Doubt; readonly faces: Doubt; readonly corners: Doubt } = {
  axes: { ownMean: 0.003, ownDifference: 0.005, repeatedMean: 0.008, repeatedDifference: 0.002 },
  faces: { ownMean: 0.0015, ownDifference: 0.004, repeatedMean: 0.004, repeatedDifference: 0.002 },
  corners: { ownMean: 0.005, ownDifference: 0.015, repeatedMean: 0.012, repeatedDifference: 0.005 },
};

/** The lot; the same seed gives the same lot. */
export function demoLot(seed = 20): Lot {
  const normal = seededNormal(seededRandom(seed));
  const solid = dieSolid('d20');
  const draw = (n: number, sigma: number): number[] => {
    const x = Array.from({ length: n }, () => sigma * normal());
    return x.map((v) => v - mean(x));
  };
  const pattern = draw(10, DEMO.pattern);
  const cavityPatterns = Array.from({ length: DEMO.cavities }, () => draw(10, DEMO.cavityPattern));
  const cornerPattern = draw(solid.corners.length, 0.02);
  const axisOf = axisIndex(solid.labels, solid.opposite);
  const shared = { axes: 0.004, corners: -0.006 };
  const dice = Array.from({ length: DEMO.dice }, (_, i): LotDie => {
    const cavity = i % DEMO.cavities;
    const time = 2 + 2 * Math.floor(i / DEMO.cavities);
    const label = `H-${String(i + 1).padStart(2, '0')}`;
    const size =
      DEMO.axis + DEMO.cavitySize[cavity]! + DEMO.axisPerHour * time + DEMO.size * normal() + 0.003 * normal();
    const axes = axisOf.names.map((name, a): Length => {
      const true1 = size + pattern[a]! + cavityPatterns[cavity]![a]! + DEMO.scatter * normal();
      const odd = label === DEMO.odd && a === 3 ? -DEMO.oddBy : 0;
      return { name, value: rounded(true1 + odd + shared.axes + 0.005 * normal()), u: 0.0102 };
    });
    const faces = solid.labels.map((name, f): Length => {
      const side = solid.opposite[f]! > f ? 1 : -1;
      return { name, value: rounded(axes[axisOf.of[f]!]!.value / 2 + side * 0.002), u: 0.0062 };
    });
    const round = DEMO.radius + DEMO.radiusPerHour * time + shared.corners + 0.012 * normal();
    const corners = solid.corners.map(({ name }, c): Length => ({
      name,
      value: rounded(Math.max(0.05, round + cornerPattern[c]! + 0.025 * normal())),
      u: 0.0204,
    }));
    return {
      label,
      cavity: cavity + 1,
      time,
      card: null,
      axes,
      faces,
      corners,
      ...totals(axes, corners),
      doubt: DOUBT,
      axesCovariance: null,
    };
  });
  return {
    name: 'Harbour lantern, d20, trial run H',
    note: 'Invented for trying out: no such dice exist.',
    kind: 'd20',
    timeUnit: 'h',
    size: 1200,
    limits: {
      ...NO_LIMITS,
      meanAxis: { lower: 20.1, upper: 20.3 },
      rangeOfAxes: { lower: null, upper: 0.2 },
      meanCornerRadius: { lower: 0.4, upper: 1 },
    },
    dice,
  };
}

const rounded = (v: number): number => Math.round(v * 1e4) / 1e4;

function totals(
  axes: readonly Length[],
  corners: readonly Length[],
): Pick<LotDie, 'meanAxis' | 'rangeOfAxes' | 'meanCornerRadius'> {
  const lengths = axes.map((a) => a.value);
  return {
    meanAxis: { value: rounded(mean(lengths)), u: 0.0085 },
    rangeOfAxes: { value: rounded(Math.max(...lengths) - Math.min(...lengths)), u: 0.0076 },
    meanCornerRadius: { value: rounded(mean(corners.map((c) => c.value))), u: 0.013 },
  };
}

/** Axes by the lower number first, and which axis each face belongs to. */
function axisIndex(labels: readonly string[], opposite: readonly number[]): { names: string[]; of: number[] } {
  const low = labels.map((_, f) => f).filter((f) => Number(labels[f]) < Number(labels[opposite[f]!]));
  low.sort((a, b) => Number(labels[a]) - Number(labels[b]));
  return {
    names: low.map((f) => `${labels[f]}-${labels[opposite[f]!]}`),
    of: labels.map((_, f) => low.findIndex((l) => l === f || opposite[l] === f)),
  };
}
