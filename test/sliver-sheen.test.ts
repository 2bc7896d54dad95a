import { describe, expect, test } from 'vitest';
import { fresnel, mirrorShare, roughShare } from '../src/vision/reflectance.ts';
import { glareOver, sheenWithSlivers } from '../src/vision/sliver-sheen.ts';
import type { Sheen } from '../src/vision/sheen.ts';

/** What the faces of a d6 seen from right above leave: both together are known, how much of each is not. */
const unknown: Sheen = {
  ...{ mirror: 0.4, rough: 0.65, limb: 0.4, light: [0, 0, 0], scatter: 0.01, faces: 8 },
  covariance: Float64Array.of(0.085, -0.075, 0, -0.075, 0.085, 0, 0, 0, 0.16),
};
const shown = ({ mirror, rough }: { mirror: number; rough: number }): number =>
  mirror * mirrorShare(0.015) + rough * roughShare(0.015);
const slivers = (share: number): { share: number; u: number }[] => Array.from({ length: 8 }, () => ({ share, u: 0.3 }));

describe('what slivers beside faces seen edge-on tell of the sheen', () => {
  // Source of the shares: Fresnel's law on GGX microfacets (`reflectance.ts`); both lie below what a perfect mirror returns.
  test('at such slants a polished surface mirrors about twice what a rough one does', () => {
    expect(mirrorShare(0.015) / roughShare(0.015)).toBeGreaterThan(1.8);
    expect(mirrorShare(0.015)).toBeLessThan(fresnel(0.015));
  });

  test('a polished die is told from a rough one', () => {
    const polished = { mirror: 1, rough: 0 };
    const rough = { mirror: 0, rough: 1 };
    const [p, r] = [polished, rough].map((die) =>
      sheenWithSlivers(unknown, unknown, slivers(shown(die) / shown(unknown) - 1)),
    );
    expect(p!.mirror).toBeGreaterThan(0.65);
    expect(r!.mirror).toBeLessThan(0.35);
    for (const s of [p!, r!]) {
      expect(Math.abs(s.mirror + s.rough - 1)).toBeLessThan(0.2);
      expect(s.covariance[0]!).toBeLessThan(0.6 * unknown.covariance[0]!);
    }
  });

  test('says the same whichever surface it was looked at with, and nothing without slivers', () => {
    const taken = { mirror: 0.8, rough: 0.2 };
    const told = sheenWithSlivers(unknown, unknown, slivers(0.4));
    // The same light as a share of what the other surface would mirror.
    const again = sheenWithSlivers(unknown, taken, slivers(glareOver(0.4, unknown, taken)));
    expect(again.mirror).toBeCloseTo(told.mirror, 1);
    expect(sheenWithSlivers(unknown, taken, [])).toBe(unknown);
  });

  test('a glare over another surface is the same light', () => {
    const now = { mirror: 1, rough: 0.1 };
    expect((1 + glareOver(0.3, unknown, now)) * shown(now)).toBeCloseTo(1.3 * shown(unknown), 12);
  });
});
