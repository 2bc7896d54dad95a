import { describe, expect, test } from 'vitest';
import { trueShape, type DieShape } from '../src/bias/die/die-shape.ts';
import { unevenDice } from '../src/bias/kernel/kernel-design.ts';
import { centredLogs, fitKernels } from '../src/bias/kernel/kernel-fit.ts';
import { kernelReading, KERNELS, radiusShare, type KernelReading } from '../src/bias/kernel/kernel.ts';
import { supportFeatures } from '../src/bias/kernel/support-features.ts';
import { kernelGrid, symmetries } from '../src/bias/die/symmetry.ts';
import { TABLE_NAMES } from '../src/bias/throws/tables.ts';
import { tallyOf } from '../src/bias/throws/throw-blocks.ts';
import { throwBody } from '../src/bias/throws/throw-body.ts';
import { withAxis, withCrown, withMark, withMassTowards, withTrim } from '../src/bias/meaning/what-if.ts';
import { EFFORT } from '../src/cli/kernels.ts';
import { DIE_KINDS, type DieKind } from '../src/geometry/solid.ts';

const uneven = (kind: DieKind, seed: number, scale = 0.5): DieShape => unevenDice(kind, 1, seed, scale)[0]!;

describe('symmetry', () => {
  // Orders of the full symmetry groups T_d, O_h, D_5d, I_h.
  test.each([
    ['d4', 24],
    ['d6', 48],
    ['d8', 48],
    ['d10', 20],
    ['d12', 120],
    ['d20', 120],
  ] as const)('of a %s: %i', (kind, order) => {
    expect(symmetries(kind, kernelGrid(kind).directions.vectors).length).toBe(order);
  });
  test('two pairs are of one class only if the angle between face and direction is the same', () => {
    for (const kind of DIE_KINDS) {
      const { directions, classes } = kernelGrid(kind);
      const faces = directions.types.filter((t) => t === 'F').length;
      for (let f = 0; f < faces; f++)
        directions.vectors.forEach((v, d) => {
          const cos = v.reduce((s, x, k) => s + x * directions.vectors[f]![k]!, 0);
          const name = classes.names[classes.of[f * directions.vectors.length + d]!]!;
          expect(name[0]).toBe(directions.types[d]);
          expect(Math.abs(Number.parseFloat(name.slice(1)) - cos)).toBeLessThan(0.00051);
        });
    }
  });
});

describe('heights over the table and their gradient', () => {
  test.each(DIE_KINDS)('%s: against central differences', (kind) => {
    const shape = uneven(kind, 3, 1);
    const { gradient } = supportFeatures(shape, true);
    const n = shape.distances.length;
    const params = n + shape.radii.length;
    const step = 1e-4;
    for (let p = 0; p < params; p += 3) {
      const moved = (by: number): Float64Array =>
        supportFeatures(
          p < n
            ? { ...shape, distances: shape.distances.map((d, i) => (i === p ? d + by : d)) }
            : { ...shape, radii: shape.radii.map((r, i) => (i === p - n ? r + by : r)) },
          false,
        ).heights;
      const [high, low] = [moved(step), moved(-step)];
      high.forEach((h, d) =>
        expect(Math.abs((h - low[d]!) / (2 * step) - gradient![d * params + p]!)).toBeLessThan(1e-9),
      );
    }
  });
  test('ln p follows its gradient', () => {
    const shape = uneven('d8', 9);
    const reading = kernelReading(shape, 'wood');
    const params = shape.distances.length + shape.radii.length;
    const step = 1e-4;
    const at = (by: number): Float64Array =>
      kernelReading({ ...shape, distances: shape.distances.map((d, i) => (i === 2 ? d + by : d)) }, 'wood').p;
    const [high, low] = [at(step), at(-step)];
    // The kernel's own change with the mean radius is left out of the gradient: a few parts in a thousand of it.
    high.forEach((p, f) =>
      expect(Math.abs(Math.log(p / low[f]!) / (2 * step) - reading.gradient[f * params + 2]!)).toBeLessThan(0.01),
    );
  });
});

describe('the kernel', () => {
  test('has every kind and table, and was checked on dice that it was not fitted to', () => {
    for (const kind of DIE_KINDS) {
      const { heldOut, kernels } = KERNELS.kinds[kind]!;
      expect(heldOut.error).toBeGreaterThan(0);
      expect(heldOut.error).toBeLessThan(0.01);
      expect(heldOut.atMost).toBeLessThan(0.01);
      expect(heldOut.unevenness).toBeGreaterThan(0.02);
      expect(heldOut.unevenness).toBeLessThan(0.06);
      for (const table of TABLE_NAMES) expect(kernels[table].level.length).toBe(kernelGrid(kind).classes.names.length);
    }
  });
  test('is of one run of its command: the seed and the throws that the command states', () => {
    expect(KERNELS.effort).toEqual(EFFORT);
    expect(Object.keys(KERNELS.kinds)).toEqual([...DIE_KINDS]);
  });
  test.each(DIE_KINDS)('a true %s is even, of any size and radius', (kind) => {
    for (const shape of [trueShape(kind), trueShape(kind, 25, 1), trueShape(kind, 12, 0.3)])
      kernelReading(shape, 'unknown').p.forEach((p) => expect(p * shape.labels.length).toBeCloseTo(1, 4));
  });
  test('a d4 with a moved face stays even: it is a larger tetrahedron with its centre moved along', () => {
    const d4 = trueShape('d4');
    // The rounding's share of the mass is not moved along: a few parts in ten thousand.
    kernelReading({ ...d4, distances: d4.distances.map((d, i) => (i === 0 ? 1.02 * d : d)) }, 'wood').p.forEach((p) =>
      expect(Math.abs(4 * p - 1)).toBeLessThan(0.003),
    );
  });
  test('faces that a mirror exchanges are exchanged', () => {
    const d6 = trueShape('d6');
    const one = kernelReading({ ...d6, distances: [9.6, 9.5, 9.5, 9.5, 9.5, 9.5] }, 'felt').p;
    const other = kernelReading({ ...d6, distances: [9.5, 9.6, 9.5, 9.5, 9.5, 9.5] }, 'felt').p;
    [1, 0, 2, 3, 4, 5].forEach((g, f) => expect(other[g]).toBeCloseTo(one[f]!, 9));
  });
  test('effects of the causes add up to the whole', () => {
    const shape = withTrim(
      withCrown(withMark(uneven('d12', 4), { face: 1, at: [0.3, 0.2], height: 0.05, width: 1 }), 2, 0.03),
      { faces: [0, 2], depth: 0.05 },
    );
    for (const pick of [shape]) {
      const { p, effects } = kernelReading(pick, 'stone');
      const logs = centredLogs(p);
      const sum = Object.values(effects).reduce((s, e) => s.map((x, i) => x + e[i]!), new Float64Array(12));
      const mean = sum.reduce((s, x) => s + x, 0) / 12;
      logs.forEach((l, f) => expect(l).toBeCloseTo(sum[f]! - mean, 9));
    }
  });
  // Slopes of throws (this project's own and another simulator's agree): -2.85 for a d6 axis, +2.6 % per 0.1 mm of centre of mass, wood.
  test('a d6 axis and a centre of mass', () => {
    const d6 = trueShape('d6', 19, 1);
    const pair = ({ p }: KernelReading): number => p[0]! + p[1]!;
    const slope =
      Math.log(
        pair(kernelReading(withAxis(d6, 0, 19.19), 'wood')) / pair(kernelReading(withAxis(d6, 0, 18.81), 'wood')),
      ) / 0.02;
    expect(Math.abs(slope + 2.85)).toBeLessThan(0.15);
    expect(Math.abs(kernelReading(withMassTowards(d6, 0, 0.1), 'wood').p[0]! * 6 - 1.026)).toBeLessThan(0.005);
  });
  test('says when a die is beyond it', () => {
    const d6 = trueShape('d6');
    expect(kernelReading(d6, 'unknown').beyond).toEqual([]);
    expect(kernelReading(withAxis(d6, 0, 21), 'wood').beyond).toContain('faces');
    expect(kernelReading(withMassTowards(d6, 0, 1), 'wood').beyond).toContain('mass');
    expect(kernelReading(withMark(d6, { face: 0, at: [0, 0], height: 0.4, width: 2 }), 'wood').beyond).toEqual([
      'mark',
    ]);
    expect(kernelReading({ ...d6, radii: d6.radii.map(() => 5) }, 'wood').beyond).toContain('radius');
    expect(kernelReading({ ...trueShape('d10'), apex: 1.15 }, 'wood').beyond).toContain('apex');
  });
});

describe('against throws', () => {
  test.each([
    ['d6', 'wood'],
    ['d8', 'felt'],
    ['d20', 'wood'],
  ] as const)('an uneven %s on %s that was not fitted', (kind, table) => {
    const throws = 30_000;
    const shape = uneven(kind, 4711, 1);
    const body = throwBody(shape);
    if (!body.ok) throw new Error(body.error.code);
    const seen = centredLogs(tallyOf(body.value, table, 3, 0, throws).counts);
    const said = centredLogs(kernelReading(shape, table).p);
    const k = seen.length;
    const chance = (k - 1) / throws;
    const squares = seen.reduce((s, l, f) => s + (l - said[f]!) ** 2, 0) / k;
    const effect = said.reduce((s, l) => s + l * l, 0) / k;
    // Uneven by 5 to 9 %; what is left is chance and at most 1.5 %: chi-square with k - 1 degrees of freedom, four sigma.
    expect(Math.sqrt(effect)).toBeGreaterThan(0.03);
    expect(squares).toBeLessThan(chance * (1 + 4 * Math.sqrt(2 / (k - 1))) + 0.015 ** 2);
    expect(squares).toBeLessThan(0.5 * (effect + chance));
  });
});

test('the fit finds a kernel again from counts that it makes', () => {
  const dice = unevenDice('d6', 30, 12, 1);
  const file = KERNELS.kinds.d6!;
  const flawless = dice.map((shape) => ({ shape, counts: kernelReading(shape, 'wood').p.map((p) => 1e6 * p) }));
  const fit = fitKernels({ wood: flawless }, file.radius)['wood']!;
  expect(fit.rms).toBeLessThan(2e-4);
  const again = { ...KERNELS, kinds: { d6: { ...file, kernels: { ...file.kernels, wood: fit.kernel } } } };
  const fresh = uneven('d6', 99);
  const [a, b] = [kernelReading(fresh, 'wood').p, kernelReading(fresh, 'wood', again).p];
  a.forEach((p, f) => expect(Math.abs(Math.log(p / b[f]!))).toBeLessThan(1e-3));
  expect(radiusShare(trueShape('d6'))).toBeCloseTo(file.radius, 4);
});
