import type { SoFar } from '../formats/result.ts';
import { figuresOf, inOrder } from './figures.ts';
import { meanOf, minus, type Linear } from './linear-lengths.ts';
import type { Measured } from './measured.ts';

export const SO_FAR = {
  /**
   * How far an axis lies off the others after the first two rounds beside what the fit and its usual causes say, mm, one standard deviation: every
   * fourth segment alone is looked at, light and blur have hardly been followed. Chosen with truth in view; see README.md.
   */
  early: 0.03,
  /** An axis less well known against the others than this is not told, mm. */
  most: 0.25,
  /** Photos from which anything is told: one shows no die's far side. */
  photos: 2,
} as const;

/** What two coarse rounds tell of the axes, or null where that is nothing. */
export function soFarOf(m: Measured): SoFar | null {
  if (m.used.length < SO_FAR.photos || m.used.some((a) => a.openFronts)) return null;
  const figures = figuresOf(m);
  if (!figures) return null;
  const { n, u } = figures;
  const axes = inOrder(figures.edgeAxes);
  const whole = meanOf(axes, n);
  const told = axes.filter(({ row }) => u(minus(row, whole.row)) < SO_FAR.most);
  if (told.length === 0) return null;
  const mean = meanOf(told, n);
  const early = (row: Float64Array): number => Math.hypot(u(row), SO_FAR.early);
  const beyondMean = (a: Linear) => ({ value: a.value - mean.value, u: early(minus(a.row, mean.row)) });
  return {
    photos: m.used.length,
    mean: { value: mean.value, u: early(mean.row) },
    axes: axes.map((a) => ({ name: a.name, beyondMean: told.includes(a) ? beyondMean(a) : null })),
  };
}
