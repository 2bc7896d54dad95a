import { expect, test } from 'vitest';
import { byFactors, descended, type Slope } from '../src/maths/descent.ts';

interface Place {
  readonly x: number;
  readonly cost: number;
}
const DAMPING = byFactors(1e-3, 4, 8, 1e-9, 1e6);

/** Half of (x^2 - 4)^2: Gauss and Newton's step is r / (2 x), damped. */
const at = (x: number): Place => ({ x, cost: (x * x - 4) ** 2 / 2 });
const root: Slope<Place> = {
  tried: ({ x }, damping) => (x === 0 ? null : at(x - ((x * x - 4) * 2 * x) / (4 * x * x * (1 + damping)))),
  ends: ({ cost }, gain) => gain !== null && gain < 1e-12 * cost + 1e-15,
};

test('comes to the nearest root and says that it has converged', () => {
  const { place, stop, steps } = descended(at(3), root, DAMPING, 100);
  expect(place.x).toBeCloseTo(2, 7);
  expect(stop).toBe('converged');
  expect(steps).toBeLessThan(10);
  expect(descended(at(-5), root, DAMPING, 100).place.x).toBeCloseTo(-2, 7);
});

test('says that its steps ran out, refused ones among them, and keeps the best place', () => {
  const { place, stop, steps } = descended(at(30), root, DAMPING, 2);
  expect([stop, steps]).toEqual(['steps', 2]);
  expect(place.cost).toBeLessThan(at(30).cost);
  const never: Slope<Place> = { ...root, tried: ({ x }) => at(x + 1) };
  expect(descended(at(3), never, DAMPING, 4)).toEqual({ place: at(3), stop: 'steps', steps: 4 });
});

test('is stuck where no step goes down, whatever the damping, or where none can be made', () => {
  // From 1e-3 by eights it takes ten refusals to pass 1e6.
  const up: Slope<Place> = { ...root, tried: ({ x }) => at(x + 1) };
  expect(descended(at(3), up, DAMPING, 100)).toEqual({ place: at(3), stop: 'stuck', steps: 10 });
  expect(descended(at(0), root, DAMPING, 100)).toEqual({ place: at(0), stop: 'stuck', steps: 10 });
});

test('a cost that is no number is never taken', () => {
  const lost: Slope<Place> = { ...root, tried: () => ({ x: 0, cost: NaN }) };
  expect(descended(at(3), lost, DAMPING, 100)).toMatchObject({ place: at(3), stop: 'stuck' });
});

test('what was left out for a cost alone is made for places that are taken, and for no others', () => {
  const entered: number[] = [];
  const seen: Slope<Place> = {
    ...root,
    entered: (place) => {
      entered.push(place.x);
      return place;
    },
  };
  const tries: number[] = [];
  const counted: Slope<Place> = {
    ...seen,
    // Every second try leads up.
    tried: (from, damping) => {
      const place = tries.length % 2 === 1 ? at(from.x + 5) : root.tried(from, damping)!;
      tries.push(place.x);
      return place;
    },
  };
  descended(at(3), counted, DAMPING, 6);
  expect(entered).toEqual(tries.filter((_, i) => i % 2 === 0));
});

test('damping falls and rises by its factors, not below its least', () => {
  const { taken, refused } = byFactors(1, 10, 3, 0.05, 100);
  expect([taken(1, 1), taken(0.1, 1), refused(2)]).toEqual([0.1, 0.05, 6]);
});
