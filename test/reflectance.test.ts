import { describe, expect, test } from 'vitest';
import {
  fresnel,
  limbTerm,
  mirrorShare,
  POLISHED,
  REFRACTIVE_INDEX,
  ROUGH,
  roughReflectance,
  roughShare,
} from '../src/vision/reflectance.ts';

/**
 * Fresnel's equations as they stand in the textbooks (Hecht, "Optics", 4.6): refraction by Snell's law, then both polarisations.
 *
 * @returns Reflected shares of the light polarised across and in the plane of incidence.
 */
function polarised(angle: number, index: number): { across: number; within: number } {
  const inside = Math.asin(Math.sin(angle) / index);
  const [c, d] = [Math.cos(angle), Math.cos(inside)];
  return { across: ((c - index * d) / (c + index * d)) ** 2, within: ((index * c - d) / (index * c + d)) ** 2 };
}

describe.each([1.33, REFRACTIVE_INDEX, 1.59])('a smooth dielectric of index %f', (index) => {
  test('straight on: ((n - 1) / (n + 1))^2', () => {
    expect(fresnel(1, index)).toBeCloseTo(((index - 1) / (index + 1)) ** 2, 14);
  });

  test('grazing: everything', () => {
    expect(fresnel(0, index)).toBeCloseTo(1, 14);
    expect(fresnel(1e-6, index)).toBeGreaterThan(0.9999);
  });

  test("at Brewster's angle: half of the light polarised across, none of the other", () => {
    const brewster = Math.atan(index);
    const { across, within } = polarised(brewster, index);
    expect(within).toBeLessThan(1e-15);
    expect(fresnel(Math.cos(brewster), index)).toBeCloseTo(across / 2, 14);
    // Closed form there: the share across is ((n^2 - 1) / (n^2 + 1))^2.
    expect(across).toBeCloseTo(((index ** 2 - 1) / (index ** 2 + 1)) ** 2, 14);
  });

  test('at every angle: the mean of both polarisations', () => {
    for (let degrees = 0; degrees < 90; degrees += 3) {
      const angle = (degrees * Math.PI) / 180;
      const { across, within } = polarised(angle, index);
      expect(fresnel(Math.cos(angle), index)).toBeCloseTo((across + within) / 2, 12);
    }
  });
});

test('a plastic mirrors half at 82.8 degrees, four hundredths straight on', () => {
  expect(fresnel(Math.cos((82.8 * Math.PI) / 180))).toBeCloseTo(0.5, 2);
  expect(fresnel(1)).toBeCloseTo(0.04, 12);
});

describe('a rough dielectric', () => {
  test('that is ever smoother becomes the smooth one', () => {
    for (const cosine of [0.1, 0.2, 0.4, 0.7, 1]) {
      const errors = [0.08, 0.02, 0.005].map((alpha) =>
        Math.abs(roughReflectance(cosine, alpha) / fresnel(cosine) - 1),
      );
      expect(errors[2]!).toBeLessThan(0.01);
      expect(errors[2]!).toBeLessThanOrEqual(errors[0]! + 1e-4);
    }
  });

  test('mirrors less than the smooth one at grazing, where its facets hide each other, and never more than all', () => {
    for (const cosine of [0.005, 0.02, 0.05]) {
      const shares = [0.05, 0.12, 0.3].map((alpha) => roughReflectance(cosine, alpha));
      expect(shares[0]!).toBeLessThan(fresnel(cosine));
      expect([...shares].sort((a, b) => b - a)).toEqual(shares);
      expect(Math.max(...shares)).toBeLessThan(1);
    }
  });

  test('does not hang on how finely it is integrated', () => {
    for (const cosine of [0.03, 0.1, 0.5]) {
      const [coarse, fine] = [roughReflectance(cosine, ROUGH), roughReflectance(cosine, ROUGH, 160)];
      expect(Math.abs(coarse / fine - 1)).toBeLessThan(0.01);
    }
  });
});

test('the tables give what they tabulate', () => {
  for (const cosine of [0.013, 0.09, 0.33, 0.8]) {
    expect(Math.abs(mirrorShare(cosine) - roughReflectance(cosine, POLISHED))).toBeLessThan(5e-4);
    expect(Math.abs(roughShare(cosine) - roughReflectance(cosine, ROUGH))).toBeLessThan(5e-4);
  }
  expect(mirrorShare(-0.1)).toBe(mirrorShare(0));
  expect(mirrorShare(1.1)).toBe(mirrorShare(1));
});

test('the limb brightens from nothing straight on to all at grazing, as the fifth power', () => {
  expect(limbTerm(1)).toBe(0);
  expect(limbTerm(0)).toBe(1);
  expect(limbTerm(0.5)).toBeCloseTo(1 / 32, 14);
});
