import { describe, expect, test } from 'vitest';
import { solidOf, trueShape, type DieShape } from '../src/bias/die/die-shape.ts';
import { faceFrame } from '../src/bias/die/face-frame.ts';
import { hullBalls } from '../src/bias/die/hull-balls.ts';
import { massProperties } from '../src/bias/die/mass.ts';
import { chances, kernelPrediction } from '../src/bias/meaning/prediction.ts';
import { seededRandom } from '../src/maths/random.ts';
import { faultText } from '../src/bias/messages.ts';
import { shapeFault, type ShapeFault } from '../src/bias/die/shape-check.ts';
import { readShape } from '../src/bias/meaning/shape-record.ts';
import { support, throwBody } from '../src/bias/throws/throw-body.ts';
import { DIE_KINDS, type DieKind } from '../src/geometry/solid.ts';
import { vec3At } from '../src/geometry/vec.ts';

const flat = (shape: DieShape): Float64Array =>
  Float64Array.from(hullBalls(shape).flatMap((b) => [...b.centre, b.radius]));

describe('mass properties', () => {
  // A cube of edge a: a^3, a^2 / 6 about each axis.
  test('of a sharp cube', () => {
    const { volume, centre, inertia } = massProperties(flat(trueShape('d6', 20, 0)));
    expect(volume / 8000).toBeCloseTo(1, 12);
    [0, 1, 2].forEach((k) => expect(Math.abs(centre[k]!)).toBeLessThan(1e-12));
    [0, 1, 2].forEach((k) => expect(inertia[k]! / (400 / 6)).toBeCloseTo(1, 12));
  });
  // Minkowski sum of a cube of edge b and a ball of radius r: b^3 + 6 b^2 r + 3 pi b r^2 + 4/3 pi r^3.
  test('of a rounded cube, to what its chords cut off', () => {
    const [b, r] = [14, 3];
    const exact = b ** 3 + 6 * b * b * r + 3 * Math.PI * b * r * r + (4 / 3) * Math.PI * r ** 3;
    const { volume } = massProperties(flat(trueShape('d6', 20, 3)));
    expect(volume / exact).toBeGreaterThan(0.998);
    expect(volume).toBeLessThan(exact);
  });
  // A regular tetrahedron with the origin at the centre of its inscribed sphere, one face moved: still regular, centre moved by a quarter of the move times 3.
  test('of a d4 with a moved face: a larger regular tetrahedron', () => {
    const shape = { ...trueShape('d4', 11, 0), distances: [6.5, 5.5, 5.5, 5.5] };
    const n = vec3At(solidOf('d4').normals, 0);
    const { centre } = massProperties(flat(shape));
    // All four face distances from the new centre are equal: (6.5 + 3 * 5.5) / 4.
    const heights = shape.distances.map(
      (d, f) => d - vec3At(solidOf('d4').normals, f).reduce((s, x, k) => s + x * centre[k]!, 0),
    );
    heights.forEach((h) => expect(h).toBeCloseTo(5.75, 9));
    expect(centre.reduce((s, x, k) => s + x * n[k]!, 0)).toBeCloseTo(0.75, 9);
  });
  test.each(DIE_KINDS)('a true %s balances on its centre', (kind) => {
    const { centre } = massProperties(flat(trueShape(kind)));
    // 0.2 um is below 0.01 % of a chance.
    centre.forEach((c) => expect(Math.abs(c)).toBeLessThan(2e-4));
  });
});

describe('passes', () => {
  // A die with corners of one radius leaves a face over an edge at its middle: the distance of the edge from the centre, less for the rounding.
  test.each(DIE_KINDS.filter((k) => k !== 'd10'))('out of a true %s face: over the middle of an edge', (kind) => {
    const shape = trueShape(kind, 20, 0.5);
    const body = throwBody(shape);
    if (!body.ok) throw new Error(body.error.code);
    const { edges, corners } = solidOf(kind);
    const [a, b] = edges[0]!.corners.map((c) => corners[c]!.vertex);
    const middle = Math.hypot(a![0] + b![0], a![1] + b![1], a![2] + b![2]) / 2;
    body.value.passes.forEach((p) => expect(Math.abs(p - ((10 - 0.5) * middle + 0.5))).toBeLessThan(0.007));
  });
  test('no pass lies under its face, no face under the lowest', () => {
    for (const kind of DIE_KINDS) {
      const body = throwBody(trueShape(kind));
      if (!body.ok) throw new Error(body.error.code);
      const { normals, labels } = solidOf(kind);
      labels.forEach((_, f) => {
        const height = support(body.value.balls, vec3At(normals, f));
        expect(body.value.passes[f]).toBeGreaterThan(height);
        expect(height).toBeGreaterThan(body.value.low - 1e-6);
      });
    }
  });
});

describe('impossible shapes are told, with what is wrong', () => {
  const d6 = trueShape('d6');
  const d20 = trueShape('d20');
  const first = <T>(list: readonly T[], value: T): T[] => list.map((x, i) => (i === 0 ? value : x));
  const cases: readonly (readonly [string, DieShape, ShapeFault['code']])[] = [
    ['a coin', { ...d6, kind: 'coin' as DieKind }, 'kind-not-modelled'],
    ['a barrel', { ...d6, kind: 'barrel' as DieKind }, 'kind-not-modelled'],
    ['a missing face', { ...d6, distances: d6.distances.slice(1) }, 'count-wrong'],
    ['a NaN distance', { ...d6, distances: first(d6.distances, NaN) }, 'not-a-length'],
    ['an infinite distance', { ...d6, distances: first(d6.distances, Infinity) }, 'not-a-length'],
    ['a negative distance', { ...d6, distances: first(d6.distances, -9.5) }, 'not-a-length'],
    ['a negative radius', { ...d6, radii: first(d6.radii, -0.1) }, 'not-a-length'],
    ['a NaN crown', { ...d6, crowns: first(d6.distances, NaN) }, 'not-a-length'],
    ['a face too far out to have a land', { ...d20, distances: first(d20.distances, 16) }, 'faces-do-not-close'],
    ['a face so deep that it cuts others off', { ...d20, distances: first(d20.distances, 2) }, 'faces-do-not-close'],
    ['corners that leave no land', { ...d6, radii: d6.radii.map(() => 9.6) }, 'radius-too-large'],
    ['one corner that leaves no land', { ...d20, radii: first(d20.radii, 10.5) }, 'radius-too-large'],
    ['a needle of a mark', { ...d6, mark: { face: 0, at: [0, 0], height: 2, width: 1 } }, 'mark-impossible'],
    ['a mark beside the die', { ...d6, mark: { face: 0, at: [20, 0], height: 0.1, width: 1 } }, 'mark-off-face'],
    ['a mark on no face', { ...d6, mark: { face: 7, at: [0, 0], height: 0.1, width: 1 } }, 'count-wrong'],
    [
      'a dome for a crown',
      {
        ...d6,
        crowns: first(
          d6.distances.map(() => 0),
          4,
        ),
      },
      'crown-too-high',
    ],
    ['a trim of faces that do not meet', { ...d6, trim: { faces: [0, 1], depth: 0.1 } }, 'trim-not-an-edge'],
    ['a trim through the die', { ...d6, trim: { faces: [0, 2], depth: 13 } }, 'trim-too-deep'],
    ['a centre of mass outside', { ...d6, massOffset: [9, 0, 0] }, 'mass-outside'],
  ];
  test.each(cases)('%s', (_, shape, code) => {
    const fault = shapeFault(shape);
    expect(fault?.code).toBe(code);
    expect(faultText(fault!)).toMatch(/^[a-zA-Z].{10,}/);
    expect(throwBody(shape).ok).toBe(false);
  });
  test('coins and barrels are refused with the reason', () => {
    expect(faultText({ code: 'kind-not-modelled', kind: 'coin' })).toContain('cylinders');
    expect(faultText({ code: 'kind-not-modelled', kind: 'd30' })).not.toContain('cylinders');
  });
  test('what is unusual but possible passes', () => {
    expect(shapeFault({ ...d6, distances: [9.5, 9.5, 9.5, 9.5, 25, 25] })).toBeNull();
    expect(shapeFault({ ...d6, radii: d6.radii.map(() => 0) })).toBeNull();
    expect(shapeFault({ ...d20, distances: d20.distances.map((d, i) => d * (1 + 0.02 * Math.sin(7 * i))) })).toBeNull();
  });
});

describe('a trimmed edge', () => {
  test('lies `depth` under the rounded skin, and only there', () => {
    const base = trueShape('d6');
    const trimmed = { ...base, trim: { faces: [0, 2] as const, depth: 0.3 } };
    const along = [Math.SQRT1_2, 0, 0].map(
      (_, k) => (solidOf('d6').normals[k]! + solidOf('d6').normals[6 + k]!) / Math.SQRT2,
    );
    const extent = (shape: DieShape, n: readonly number[]): number =>
      support(flat(shape), n as [number, number, number]);
    expect(extent(base, along) - extent(trimmed, along)).toBeCloseTo(0.3, 9);
    expect(
      extent(
        trimmed,
        along.map((x) => -x),
      ),
    ).toBeCloseTo(
      extent(
        base,
        along.map((x) => -x),
      ),
      12,
    );
    solidOf('d6').labels.forEach((_, f) =>
      expect(extent(trimmed, vec3At(solidOf('d6').normals, f))).toBeCloseTo(9.5, 9),
    );
  });
});

describe("a face's frame", () => {
  test.each(DIE_KINDS)('%s: two unit axes in the face, its circle inside the land', (kind) => {
    const shape = trueShape(kind);
    shape.labels.forEach((_, f) => {
      const { x, y, innerRadius, centre } = faceFrame(shape, f);
      const n = vec3At(solidOf(kind).normals, f);
      for (const axis of [x, y]) {
        expect(Math.hypot(...axis)).toBeCloseTo(1, 12);
        expect(axis.reduce((s, v, k) => s + v * n[k]!, 0)).toBeCloseTo(0, 12);
      }
      expect(centre.reduce((s, v, k) => s + v * n[k]!, 0)).toBeCloseTo(shape.distances[f]!, 9);
      expect(innerRadius).toBeGreaterThan(1);
      expect(innerRadius).toBeLessThan(shape.distances[f]! * 2);
    });
  });
});

describe('reading a measuring result', () => {
  const recordOf = (kind: DieKind, name: (label: string) => string = (l) => l): Record<string, unknown> => {
    const solid = solidOf(kind);
    return {
      format: 'evencast-result/1',
      die: { kind },
      faces: solid.labels.map((l, f) => ({ name: name(l), distance: 9 + 0.01 * f, u: 0.004 })),
      corners: solid.corners.map((c, i) => ({
        name: c.faces.map((f) => name(solid.labels[f]!)).join('-'),
        radius: 0.5 + 0.01 * i,
        u: 0.01,
      })),
    };
  };
  test.each(DIE_KINDS)('%s: distances and radii land on their own faces and corners', (kind) => {
    const read = readShape(recordOf(kind));
    if (!read.ok) throw new Error(faultText(read.error));
    read.value.shape.distances.forEach((d, f) => expect(d).toBeCloseTo(9 + 0.01 * f, 12));
    read.value.shape.radii.forEach((r, i) => expect(r).toBeCloseTo(0.5 + 0.01 * i, 12));
    expect(read.value.covariance![0]).toBeCloseTo(0.004 ** 2, 15);
  });
  test('a face whose crown was not seen is crowned as those that were; by hand the others are flat', () => {
    const record = recordOf('d6') as { faces: { crown?: unknown }[] };
    const crowned = (...crowns: unknown[]): readonly number[] => {
      const faces = record.faces.map((f, i) => ({ ...f, crown: crowns[i] ?? null }));
      const read = readShape({ ...record, faces });
      if (!read.ok) throw new Error(read.error.code);
      return [...read.value.shape.crowns!].sort((a, b) => a - b);
    };
    expect(crowned({ value: 0.04, u: 0.01 }, { value: 0.06, u: 0.01 })[0]).toBeCloseTo(0.04, 12);
    expect(crowned({ value: 0.04, u: 0.01 }, { value: 0.06, u: 0.01 }).slice(1, 5)).toEqual([0.05, 0.05, 0.05, 0.05]);
    expect(crowned(0.05)).toEqual([0, 0, 0, 0, 0, 0.05]);
  });

  test('a d10 in tens keeps its names', () => {
    const read = readShape(recordOf('d10', (l) => `${l}0`));
    expect(read.ok && read.value.shape.labels).toContain('00');
  });
  test("names of one's own are placed by the corners", () => {
    const own = readShape(recordOf('d8', (l) => 'abcdefgh'[Number(l) - 1]!));
    if (!own.ok) throw new Error(faultText(own.error));
    const { shape } = own.value;
    const solid = solidOf('d8');
    // Each corner's radius belongs to the faces that its name lists.
    const wanted = new Map(
      solid.corners.map((c, i) => [
        c.faces
          .map((f) => 'abcdefgh'[Number(solid.labels[f]) - 1])
          .sort()
          .join(''),
        0.5 + 0.01 * i,
      ]),
    );
    solid.corners.forEach((c, i) =>
      expect(shape.radii[i]).toBeCloseTo(
        wanted.get(
          c.faces
            .map((f) => shape.labels[f])
            .sort()
            .join(''),
        )!,
        12,
      ),
    );
  });
  test('two numbers changed places: no longer the usual layout, but a die all the same', () => {
    const swapped = readShape(recordOf('d20', (l) => ({ 1: '20', 20: '1' })[l] ?? l));
    expect(swapped.ok).toBe(true);
  });
  test('the stated covariance is taken in its own order', () => {
    const record = recordOf('d6');
    const names = ['corner 1-2-3', 'face 6', 'face 1'];
    const matrix = [
      [4e-4, 1e-5, 2e-5],
      [1e-5, 9e-6, 3e-6],
      [2e-5, 3e-6, 1.6e-5],
    ];
    const read = readShape({ ...record, shapeCovariance: { names, matrix } });
    if (!read.ok) throw new Error(faultText(read.error));
    const { shape, covariance } = read.value;
    const [one, six] = ['1', '6'].map((l) => shape.labels.indexOf(l));
    const corner = 6 + solidOf('d6').corners.findIndex((c) => c.name === '1-2-3');
    expect(covariance![one! * 14 + six!]).toBe(3e-6);
    expect(covariance![corner * 14 + one!]).toBe(2e-5);
    expect(covariance![six! * 15]).toBe(9e-6);
  });
  test("from the axes' covariance an axis keeps its doubt, whatever its two faces share", () => {
    const record = recordOf('d6');
    const axes = [{ name: '1-6' }, { name: '2-5' }, { name: '3-4' }];
    const axesCovariance = [
      [1e-5, 4e-6, 4e-6],
      [4e-6, 1e-5, 4e-6],
      [4e-6, 4e-6, 1e-5],
    ];
    const read = readShape({ ...record, axes, axesCovariance });
    if (!read.ok) throw new Error(faultText(read.error));
    const { shape, covariance } = read.value;
    const at = (a: string, b: string): number => covariance![shape.labels.indexOf(a) * 14 + shape.labels.indexOf(b)]!;
    expect(at('1', '1') + 2 * at('1', '6') + at('6', '6')).toBeCloseTo(1e-5, 12);
    expect(at('1', '2') + at('1', '5') + at('6', '2') + at('6', '5')).toBeCloseTo(4e-6, 12);
    expect(at('1', '1')).toBeCloseTo(0.004 ** 2, 12);
  });
  test.each<[string, unknown, string]>([
    ['nothing', null, 'wrong'],
    ['a list', [], 'wrong'],
    ['no kind', { faces: [] }, 'wrong'],
    ['no faces', { die: { kind: 'd6' } }, 'wrong'],
    ['faces that are none', { die: { kind: 'd6' }, faces: [1, 2] }, 'wrong'],
    ['a coin', { die: { kind: 'coin' }, faces: [] }, 'kind-not-modelled'],
    ['a failed measurement', { die: { kind: 'd6' }, error: { code: 'no-photo' } }, 'not-measured'],
    ['too few faces', { die: { kind: 'd6' }, faces: [{ name: '1', distance: 9 }] }, 'names-do-not-fit'],
    [
      'a text for a distance',
      { ...recordOf('d6'), faces: solidOf('d6').labels.map((name) => ({ name, distance: 'nine' })) },
      'wrong',
    ],
  ])('%s is told', (_, json, code) => {
    const read = readShape(json);
    expect(!read.ok && read.error.code).toBe(code);
    expect(!read.ok && faultText(read.error)).toMatch(/.{10,}/);
  });
  test('whatever stands in a file: a shape with chances that add up, or a fault with its text, never a crash', () => {
    const random = seededRandom(77);
    const junk: readonly unknown[] = [
      null,
      true,
      'x',
      '',
      -1,
      0,
      1e300,
      NaN,
      0.02,
      [],
      {},
      [[[]]],
      [NaN, 'y'],
      { length: 3 },
    ];
    const pick = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)]!;
    /** Replaces some value inside, at any depth. */
    const spoil = (value: unknown): void => {
      if (typeof value !== 'object' || value === null) return;
      const inside = value as Record<string, unknown>;
      const keys = Object.keys(inside);
      if (keys.length === 0) return;
      const key = pick(keys);
      if (random() < 0.4 || typeof inside[key] !== 'object' || inside[key] === null) inside[key] = pick(junk);
      else spoil(inside[key]);
    };
    let good = 0;
    for (let n = 0; n < 300; n++) {
      const kind = pick(DIE_KINDS);
      const solid = solidOf(kind);
      const axes = solid.labels
        .slice(0, 2)
        .map((l, f) => ({ name: `${l}-${solid.labels[solid.opposite[f]!]}`, length: 18 }));
      const whole = {
        ...recordOf(kind),
        axes,
        axesCovariance: axes.map(() => axes.map(() => 1e-5)),
        shapeCovariance: {
          names: solid.labels.map((l) => `face ${l}`),
          matrix: solid.labels.map(() => solid.labels.map(() => 1e-6)),
        },
        mark: { face: solid.labels[0], at: [0, 0.1], height: 0.05, width: 0.8 },
        trim: { edge: solid.edges[0]!.faces.map((f) => solid.labels[f]).join('-'), depth: 0.02 },
        massOffset: [0.01, 0, -0.01],
        meanCornerRadius: { value: 0.5 },
      };
      const json = structuredClone(whole) as unknown;
      for (let k = 0; k <= 2 * random(); k++) spoil(json);
      const read = readShape(json);
      if (!read.ok) {
        expect(faultText(read.error)).toMatch(/.{10,}/);
        continue;
      }
      const prediction = kernelPrediction(read.value, 'wood');
      if (!prediction.ok) continue;
      good++;
      expect(prediction.value.p.reduce((a, b) => a + b, 0)).toBeCloseTo(1, 9);
      chances(prediction.value).forEach(({ low, high }) => expect(high).toBeGreaterThanOrEqual(low));
    }
    expect(good).toBeGreaterThan(40);
  });
});
