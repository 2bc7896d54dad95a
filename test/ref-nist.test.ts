import { describe, expect, test } from 'vitest';
import { minimise, type Residuals } from '../src/maths/least-squares.ts';
import reference from './fixtures/nist-strd.json' with { type: 'json' };
import { centralDifferences, jacobianError } from './support/central-differences.ts';

// Source of data, starts and certified values: NIST StRD, nonlinear regression, as named in the fixture. Its score is the number of
// digits that agree, the log relative error; NIST calls six good.

type Name = keyof typeof reference.problems;
/** Value of the model and, in `slope`, its derivative by each parameter. */
type Model = (b: Float64Array, x: number, slope: Float64Array) => number;

const MODELS: Readonly<Record<Name, Model>> = {
  Misra1a(b, x, slope) {
    const e = Math.exp(-b[1]! * x);
    slope.set([1 - e, b[0]! * x * e]);
    return b[0]! * (1 - e);
  },
  Roszman1(b, x, slope) {
    const d = x - b[3]!;
    const q = Math.PI * (d * d + b[2]! * b[2]!);
    slope.set([1, -x, -d / q, -b[2]! / q]);
    return b[0]! - b[1]! * x - Math.atan(b[2]! / d) / Math.PI;
  },
  MGH09(b, x, slope) {
    const above = x * x + x * b[1]!;
    const below = x * x + x * b[2]! + b[3]!;
    const value = (b[0]! * above) / below;
    slope.set([above / below, (b[0]! * x) / below, (-value * x) / below, -value / below]);
    return value;
  },
  Thurber(b, x, slope) {
    const above = b[0]! + x * (b[1]! + x * (b[2]! + x * b[3]!));
    const below = 1 + x * (b[4]! + x * (b[5]! + x * b[6]!));
    const value = above / below;
    [0, 1, 2, 3].forEach((p) => (slope[p] = x ** p / below));
    [1, 2, 3].forEach((p) => (slope[3 + p] = (-value * x ** p) / below));
    return value;
  },
};

function residualsOf(name: Name): Residuals {
  const { x, y } = reference.problems[name];
  return (b, residual, jacobian) => {
    const slope = new Float64Array(b.length);
    x.forEach((at, k) => {
      residual[k] = MODELS[name](b, at, slope) - y[k]!;
      jacobian?.set(slope, k * b.length);
    });
    return residual.every(Number.isFinite);
  };
}

const digits = (value: number, certified: number): number =>
  -Math.log10(Math.abs(value - certified) / Math.abs(certified) + 1e-16);

describe.each(Object.keys(MODELS) as Name[])('%s', (name) => {
  const { starts, certified, sigma, rss, x } = reference.problems[name];
  const residuals = residualsOf(name);

  test('its Jacobian agrees with central differences', () => {
    for (const point of [...starts, certified]) {
      const b = Float64Array.from(point);
      const jacobian = new Float64Array(x.length * b.length);
      residuals(b, new Float64Array(x.length), jacobian);
      expect(jacobianError(jacobian, centralDifferences(residuals, b, x.length), b.length)).toBeLessThan(1e-6);
    }
  });

  test('the data give the certified sum of squares at the certified parameters', () => {
    const residual = new Float64Array(x.length);
    residuals(Float64Array.from(certified), residual, null);
    expect(
      digits(
        residual.reduce((s, v) => s + v * v, 0),
        rss,
      ),
    ).toBeGreaterThan(8);
  });

  test.each([0, 1])('from start %i: parameters, standard deviations and sum of squares to six digits', (which) => {
    const start = Float64Array.from(starts[which]!);
    const fit = minimise(residuals, start, x.length);
    if (!fit.ok) throw new Error(JSON.stringify(fit.error));
    const { x: b, covariance, reducedChiSquare, cost, stop } = fit.value;
    const n = b.length;
    expect(stop).not.toBe('steps');
    certified.forEach((c, i) => {
      expect(digits(b[i]!, c), `b${i + 1}`).toBeGreaterThan(6);
    });
    // The residuals are not whitened: their own scatter takes the place of sigma.
    sigma.forEach((s, i) => {
      expect(digits(Math.sqrt(covariance[i * n + i]! * reducedChiSquare), s), `sd of b${i + 1}`).toBeGreaterThan(6);
    });
    expect(digits(2 * cost, rss)).toBeGreaterThan(8);
    expect(Array.from(start), 'the start is left as it was').toEqual(starts[which]);
  });
});
