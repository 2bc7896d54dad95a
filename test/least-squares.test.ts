import { describe, expect, test } from 'vitest';
import { minimise, scaledInverse, type Residuals } from '../src/maths/least-squares.ts';

/** Straight line through (0, y0), (1, y1), ...; parameters: height at 0 and slope. */
const line =
  (y: readonly number[]): Residuals =>
  (b, residual, jacobian) => {
    y.forEach((v, k) => {
      residual[k] = b[0]! + b[1]! * k - v;
      jacobian?.set([1, k], 2 * k);
    });
    return true;
  };

describe('a straight line', () => {
  const y = [1, 3, 2, 5];

  test('comes out as its closed form, with its covariance', () => {
    const fit = minimise(line(y), Float64Array.of(0, 0), 4);
    if (!fit.ok) throw new Error('no fit');
    // Normal equations by hand: sum x = 6, sum x^2 = 14, sum y = 11, sum x y = 22, determinant 4 * 14 - 36 = 20.
    expect(fit.value.x[0]).toBeCloseTo((14 * 11 - 6 * 22) / 20, 10);
    expect(fit.value.x[1]).toBeCloseTo((4 * 22 - 6 * 11) / 20, 10);
    [14 / 20, -6 / 20, -6 / 20, 4 / 20].forEach((v, k) => {
      expect(fit.value.covariance[k]).toBeCloseTo(v, 12);
    });
    // Residuals 0.1, -0.8, 1.3, -0.6: sum of squares 2.7 over two degrees of freedom.
    expect(fit.value.reducedChiSquare).toBeCloseTo(1.35, 10);
    expect(fit.value.costBefore).toBe((1 + 9 + 4 + 25) / 2);
  });

  test('through as many points as parameters leaves nothing to judge by', () => {
    const fit = minimise(line([1, 3]), Float64Array.of(0, 0), 2);
    expect(fit).toMatchObject({ ok: true, value: { reducedChiSquare: NaN } });
  });
});

test('parameters that the data cannot tell apart are a failure with their rank', () => {
  // Only the sum of the first two is seen.
  const residuals: Residuals = (b, residual, jacobian) => {
    [1, 2, 3].forEach((x, k) => {
      residual[k] = b[0]! + b[1]! + b[2]! * x - 2 * x;
      jacobian?.set([1, 1, x], 3 * k);
    });
    return true;
  };
  expect(minimise(residuals, Float64Array.of(1, 0, 1), 3)).toEqual({
    ok: false,
    error: { code: 'fit-rank', rank: 2, needed: 3 },
  });
});

test('a parameter that nothing depends on is a failure too', () => {
  const residuals: Residuals = (b, residual, jacobian) => {
    residual[0] = b[0]! - 1;
    jacobian?.set([1, 0]);
    return true;
  };
  expect(minimise(residuals, Float64Array.of(0, 0), 1)).toEqual({
    ok: false,
    error: { code: 'fit-rank', rank: 1, needed: 2 },
  });
});

test('a start where the model has no value is said', () => {
  expect(minimise(() => false, Float64Array.of(0), 1)).toEqual({ ok: false, error: { code: 'fit-start' } });
});

test('keeps away from where the model has no value', () => {
  // log x = 3 from x = 0.1: the first full step would leave the positive numbers.
  const residuals: Residuals = (b, residual, jacobian) => {
    residual[0] = Math.log(b[0]!) - 3;
    jacobian?.set([1 / b[0]!]);
    return b[0]! > 0;
  };
  const fit = minimise(residuals, Float64Array.of(100), 1);
  expect(fit.ok && fit.value.x[0]).toBeCloseTo(Math.exp(3), 8);
});

test('says that it ran out of steps', () => {
  const fit = minimise(line([1, 3, 2]), Float64Array.of(1e6, -1e6), 3, { steps: 1 });
  expect(fit).toMatchObject({ ok: true, value: { stop: 'steps', steps: 1 } });
});

test('inverts whatever the scales of the parameters', () => {
  // Diagonal 1e16 and 1e-16 with correlation 0.5: its inverse is 4/3 of the plain one.
  const inverse = scaledInverse(Float64Array.of(1e16, 0.5, 0.5, 1e-16), 2) as Float64Array;
  [4 / 3e16, -2 / 3, -2 / 3, 4e16 / 3].forEach((v, k) => {
    expect(inverse[k]! / v).toBeCloseTo(1, 12);
  });
});
