import { parameterCount } from '../fit/die-state.ts';
import { dot, vec3At, type Vec3 } from '../geometry/vec.ts';
import type { DieState } from '../fit/die-state.ts';
import type { Balls, DieSolid } from '../geometry/solid.ts';

/** A quantity as a linear function of the parameters: its value, mm, and its derivative by each of them. */
export interface Linear {
  readonly name: string;
  readonly value: number;
  readonly row: Float64Array;
}

/** A row over more parameters, on which it does not hang. */
export function padded(row: Float64Array, n: number): Float64Array {
  const out = new Float64Array(n);
  out.set(row);
  return out;
}

/** An axis over its faces: with the crowns of both; a d4's with that of its one face. */
export function overFaces(a: Linear, solid: DieSolid, crowns: Float64Array, at: number): Linear {
  const row = a.row.slice();
  let value = a.value;
  for (const name of a.name.split('-')) {
    const f = solid.labels.indexOf(name);
    if (f < 0) continue;
    row[at + f] = 1;
    value += crowns[f]!;
  }
  return { name: a.name, value, row };
}

export function unit(n: number, i: number): Float64Array {
  const row = new Float64Array(n);
  row[i] = 1;
  return row;
}

export function minus(a: Float64Array, b: Float64Array): Float64Array {
  const out = a.slice();
  for (let i = 0; i < out.length; i++) out[i]! -= b[i]!;
  return out;
}

export function meanOf(list: readonly Linear[], n: number): Linear {
  const row = new Float64Array(n);
  let value = 0;
  for (const l of list) {
    value += l.value;
    for (let i = 0; i < n; i++) row[i]! += l.row[i]!;
  }
  for (let i = 0; i < n; i++) row[i]! /= list.length;
  return { name: 'mean', value: value / list.length, row };
}

/** Ascending by the numbers in a name. */
export function byNumbers(a: string, b: string): number {
  const [p, q] = [a.split('-'), b.split('-')];
  for (let i = 0; i < Math.min(p.length, q.length); i++) {
    const d = Number(p[i]) - Number(q[i]);
    if (d !== 0 && !Number.isNaN(d)) return d;
  }
  return p.length - q.length || (a < b ? -1 : a > b ? 1 : 0);
}

/** Axes as rows: the sum of two opposite faces' distances; on a d4 from a face to the far side of the corner opposite. */
export function axisRows(solid: DieSolid, state: DieState, body: Balls): Linear[] {
  const n = parameterCount(state);
  const out: Linear[] = [];
  if (solid.kind === 'd4') {
    for (let f = 0; f < solid.labels.length; f++) out.push(cornerAxis(solid, state, body, f, n));
    return out;
  }
  for (let f = 0; f < solid.labels.length; f++) {
    const o = solid.opposite[f]!;
    if (byNumbers(solid.labels[f]!, solid.labels[o]!) > 0) continue;
    const row = unit(n, f);
    row[o] = 1;
    out.push({ name: `${solid.labels[f]}-${solid.labels[o]}`, value: state.distances[f]! + state.distances[o]!, row });
  }
  return out;
}

function cornerAxis(solid: DieSolid, state: DieState, body: Balls, f: number, n: number): Linear {
  const normal = vec3At(solid.normals, f);
  let best = -1;
  let reach = -Infinity;
  for (let b = 0; b < body.count; b++) {
    const r = body.radii[b]! - dot(normal, vec3At(body.centres, b));
    if (r > reach) [reach, best] = [r, b];
  }
  // Far side along -normal: radius - normal . centre, centre = inverse . (distances - radius).
  const row = unit(n, f);
  const inverse = body.inverse.subarray(9 * best, 9 * best + 9);
  let sum = 0;
  for (let c = 0; c < 3; c++) {
    const g = normal[0] * inverse[c]! + normal[1] * inverse[3 + c]! + normal[2] * inverse[6 + c]!;
    row[body.faces[3 * best + c]!]! -= g;
    sum += g;
  }
  row[state.distances.length + body.corner[best]!]! += 1 + sum;
  return { name: `${solid.labels[f]}-corner`, value: state.distances[f]! + reach, row };
}

/** Area of the flat land of a face, mm^2: the polygon of the points where its balls touch it. */
export function landArea(solid: DieSolid, face: number, body: Balls): number {
  const n = vec3At(solid.normals, face);
  const points: Vec3[] = [];
  for (let b = 0; b < body.count; b++)
    if ([0, 1, 2].some((c) => body.faces[3 * b + c] === face)) {
      const c = vec3At(body.centres, b);
      points.push([c[0] + body.radii[b]! * n[0], c[1] + body.radii[b]! * n[1], c[2] + body.radii[b]! * n[2]]);
    }
  if (points.length < 3) return 0;
  const a: Vec3 = Math.abs(n[2]) < 0.9 ? [-n[1], n[0], 0] : [0, -n[2], n[1]];
  const la = Math.hypot(...a);
  const x: Vec3 = [a[0] / la, a[1] / la, a[2] / la];
  const y: Vec3 = [n[1] * x[2] - n[2] * x[1], n[2] * x[0] - n[0] * x[2], n[0] * x[1] - n[1] * x[0]];
  const flat = points.map((p) => [dot(x, p), dot(y, p)] as const);
  const [cx, cy] = [0, 1].map((k) => flat.reduce((s, p) => s + p[k]!, 0) / flat.length) as [number, number];
  flat.sort((p, q) => Math.atan2(p[1] - cy, p[0] - cx) - Math.atan2(q[1] - cy, q[0] - cx));
  return (
    Math.abs(
      flat.reduce((s, p, i) => s + p[0] * flat[(i + 1) % flat.length]![1] - flat[(i + 1) % flat.length]![0] * p[1], 0),
    ) / 2
  );
}
