import { describe, expect, test } from 'vitest';
import { usualShape } from '../src/shots/candidates.ts';
import { edgeOnAngle, plannedView, USUAL_SETTING } from '../src/shots/information.ts';
import { DIE_KINDS, dieSolid } from '../src/geometry/solid.ts';
import { byAxis, cross, dot, minus, norm, vec3At, type Vec3 } from '../src/geometry/vec.ts';
import { ShotPlanner } from '../src/shots/plan.ts';
import { divergingColour } from '../src/ui/shape/diverging.ts';
import { NET_WIDTH, netOf } from '../src/figures/net-drawing.ts';
import { drawnShot, HALF, needsLine } from '../src/ui/kit/shot-drawing.ts';
import { enlarged, fittingFactor, solidMesh } from '../src/figures/solid-mesh.ts';

const numbersOf = (path: string): number[] => [...path.matchAll(/-?\d+(\.\d+)?/g)].map(([n]) => Number(n));

describe.each(DIE_KINDS)('a %s', (kind) => {
  const solid = dieSolid(kind);
  const shape = usualShape(solid);

  test('as a solid: a closed surface, of the area and volume of a body a little inside its faces', () => {
    const mesh = solidMesh(shape);
    const point = (i: number): Vec3 => vec3At(mesh.positions, i);
    let volume = 0;
    let area = 0;
    let vector: Vec3 = [0, 0, 0];
    for (let t = 0; t < mesh.triangles.length; t += 3) {
      const [a, b, c] = [0, 1, 2].map((k) => mesh.triangles[t + k]!) as [number, number, number];
      const n = cross(minus(point(b), point(a)), minus(point(c), point(a)));
      if (norm(n) < 1e-12) continue;
      // Either way round: its own normals say which side is out.
      const out = dot(n, vec3At(mesh.normals, a)) < 0 ? -1 : 1;
      volume += (out * dot(point(a), n)) / 6;
      area += norm(n) / 2;
      vector = [vector[0] + (out * n[0]) / 2, vector[1] + (out * n[1]) / 2, vector[2] + (out * n[2]) / 2];
    }
    // Of a closed surface the areas, as vectors, sum to nothing (divergence theorem).
    expect(norm(vector) / area).toBeLessThan(2e-3);
    const sharp = trueVolume(kind, shape.distances.reduce((s, d) => s + d, 0) / shape.distances.length);
    expect(volume / sharp).toBeGreaterThan(0.9);
    expect(volume / sharp).toBeLessThan(1);
    for (let v = 0; v < mesh.positions.length / 3; v++)
      for (let f = 0; f < solid.labels.length; f++)
        expect(dot(point(v), vec3At(solid.normals, f))).toBeLessThan(shape.distances[f]! + 1e-3);
  });

  test('enlarged: deviations grow by the factor, the mean stays', () => {
    const big = enlarged(shape, 10);
    const mean = (d: Float64Array): number => d.reduce((s, v) => s + v, 0) / d.length;
    expect(mean(big.distances)).toBeCloseTo(mean(shape.distances), 9);
    expect(big.distances[1]! - mean(big.distances)).toBeCloseTo(10 * (shape.distances[1]! - mean(shape.distances)), 9);
    expect(fittingFactor(shape)).toBeGreaterThanOrEqual(10);
  });

  test('laid flat: each face, each edge and each corner of each face once, lands inside the frame', () => {
    const net = netOf(shape, 1.5);
    expect(net.faces.map((f) => f.face).sort((a, b) => a - b)).toEqual(solid.labels.map((_, f) => f));
    expect(net.edges.map((e) => e.edge)).toEqual(solid.edges.map((_, e) => e));
    const corners = net.faces.flatMap((f) => f.corners.map(({ corner }) => corner));
    for (let c = 0; c < solid.corners.length; c++)
      expect(corners.filter((k) => k === c).length).toBe(solid.corners[c]!.faces.length);
    for (const { outline, land, middle } of net.faces) {
      const [whole, flat] = [area(numbersOf(outline)), area(numbersOf(land))];
      expect(flat).toBeGreaterThan(0.4 * whole);
      expect(flat).toBeLessThan(whole);
      expect(middle[0]).toBeGreaterThan(0);
      expect(middle[0]).toBeLessThan(NET_WIDTH);
      expect(middle[1]).toBeLessThan(net.height);
    }
  });

  test('as a shot shows it: the number up is seen, the front below it, all inside the frame', () => {
    for (const { shot } of new ShotPlanner({ kind, numbering: null, bars: 2 }).plan(3).shots) {
      const drawn = drawnShot(solid, shot);
      const labels = drawn.map(({ label }) => label);
      expect(labels).toContain(shot.front);
      if (kind !== 'd4') expect(labels).toContain(shot.up);
      else expect(labels).not.toContain(shot.up);
      const all = drawn.flatMap(({ path }) => numbersOf(path));
      for (const v of all) expect(Math.abs(v)).toBeLessThanOrEqual(HALF);
      const y = (label: string): number => Number(/([-\d.]+)\)$/.exec(drawn.find((d) => d.label === label)!.text)![1]);
      if (kind !== 'd4') expect(y(shot.front)).toBeGreaterThan(y(shot.up));
      // Numbers are not mirrored: the matrix of each keeps its sense.
      for (const { text } of drawn) {
        const [a, b, c, d] = numbersOf(text) as [number, number, number, number];
        expect(a * d - b * c).toBeGreaterThan(0);
      }
      expect(edgeOnAngle(solid, plannedView(shape, shot, USUAL_SETTING))).toBeGreaterThan(0.04);
    }
    expect(drawnShot(solid, { up: 'none', front: '1', lean: 0.2, turn: 0 })).toEqual([]);
  });
});

/** Volume of the sharp true die of an inradius, from its faces as pyramids. */
function trueVolume(kind: (typeof DIE_KINDS)[number], inradius: number): number {
  const solid = dieSolid(kind);
  let volume = 0;
  solid.labels.forEach((_, f) => {
    const n = vec3At(solid.normals, f);
    const ring = solid.corners.filter((c) => c.faces.includes(f)).map((c) => c.vertex);
    const mid = byAxis((k) => ring.reduce((s, p) => s + p[k]! / ring.length, 0));
    const x = minus(ring[0]!, mid);
    const y = cross(n, x);
    ring.sort(
      (p, q) =>
        Math.atan2(dot(minus(p, mid), y), dot(minus(p, mid), x)) -
        Math.atan2(dot(minus(q, mid), y), dot(minus(q, mid), x)),
    );
    ring.forEach(
      (p, i) => (volume += Math.abs(dot(cross(minus(p, mid), minus(ring[(i + 1) % ring.length]!, mid)), n)) / 6),
    );
  });
  return volume * inradius ** 3;
}

function area(xy: readonly number[]): number {
  let s = 0;
  for (let i = 0; i < xy.length; i += 2) {
    const j = (i + 2) % xy.length;
    s += xy[i]! * xy[j + 1]! - xy[j]! * xy[i + 1]!;
  }
  return Math.abs(s) / 2;
}

test('colours run from violet over white to orange, and two steps can always be told apart in lightness or hue', () => {
  expect(divergingColour(0)).toEqual([247, 247, 247]);
  expect(divergingColour(-3)).toEqual(divergingColour(-1));
  // Short is bluer than long for every kind of colour vision: its blue exceeds its red, the other way round for long.
  for (const t of [0.25, 0.5, 0.75, 1]) {
    const [low, high] = [divergingColour(-t), divergingColour(t)];
    expect(low[2]).toBeGreaterThan(low[0]);
    expect(high[0]).toBeGreaterThan(high[2] + 20);
  }
});

test('what can be read upside down is underlined', () => {
  const d12 = dieSolid('d12').labels;
  expect(d12.filter((label) => needsLine(label, d12))).toEqual(expect.arrayContaining(['6', '9']));
  expect(needsLine('6', dieSolid('d6').labels)).toBe(false);
  expect(needsLine('8', d12)).toBe(false);
});
