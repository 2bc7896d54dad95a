import { mirrorShare, roughShare } from './reflectance.ts';
import type { Sheen } from './sheen.ts';

/** What a face seen edge-on, a little from its front, mirrors more than it was taken to: a share, and its standard uncertainty. */
export interface SliverGlare {
  readonly share: number;
  readonly u: number;
}

/** Cosine of incidence in the middle of such a sliver: a crown of 0.05 on a half-width of 7 mm, seen 7 mrad from the front. */
const IN_SLIVER = 0.015;

/** Shares of the light that a mirror and a rough surface throw back there. */
const MIRRORED = mirrorShare(IN_SLIVER);
const SCATTERED = roughShare(IN_SLIVER);

/** What a sliver of a surface shows of what it mirrors. */
const shownBy = ({ mirror, rough }: Pick<Sheen, 'mirror' | 'rough'>): number => MIRRORED * mirror + SCATTERED * rough;

/** How far what slivers mirror may be brighter or darker than it is taken to be, all alike, a share, one standard deviation. */
const ALIKE = 0.05;

/**
 * A die's sheen with what its faces tell that are seen edge-on. At such slants a polished surface mirrors twice what a rough one does, and where the
 * camera stands right above, nothing else tells them apart. One observation by Kalman's update, kept at or above nothing.
 *
 * @param sheen  What the faces at large told.
 * @param taken  Mirror and rough that the slivers were looked at with.
 */
export function sheenWithSlivers(
  sheen: Sheen,
  taken: Pick<Sheen, 'mirror' | 'rough'>,
  slivers: readonly SliverGlare[],
): Sheen {
  if (slivers.length === 0) return sheen;
  let [weight, sum] = [0, 0];
  for (const { share, u } of slivers) {
    weight += 1 / u ** 2;
    sum += share / u ** 2;
  }
  const by = [MIRRORED, SCATTERED, 0];
  const shown = shownBy(taken);
  const told = shown * (1 + sum / weight);
  const variance = shown ** 2 * (1 / weight + ALIKE ** 2);
  const { covariance: p } = sheen;
  const gain = [0, 1, 2].map((r) => by.reduce((s, v, c) => s + p[3 * r + c]! * v, 0));
  const spread = by.reduce((s, v, r) => s + v * gain[r]!, 0) + variance;
  const off = (told - by[0]! * sheen.mirror - by[1]! * sheen.rough) / spread;
  return {
    ...sheen,
    mirror: Math.max(0, sheen.mirror + gain[0]! * off),
    rough: Math.max(0, sheen.rough + gain[1]! * off),
    limb: Math.max(0, sheen.limb + gain[2]! * off),
    covariance: p.map((v, k) => v - (gain[Math.floor(k / 3)]! * gain[k % 3]!) / spread),
  };
}

/** A glare over what `taken` mirrors in a sliver, as one over what `now` does. */
export function glareOver(
  glare: number,
  taken: Pick<Sheen, 'mirror' | 'rough'>,
  now: Pick<Sheen, 'mirror' | 'rough'>,
): number {
  return ((1 + glare) * shownBy(taken)) / shownBy(now) - 1;
}
