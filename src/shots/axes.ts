import { dot, vec3At } from '../geometry/vec.ts';
import { bodyOf, type DieState } from '../fit/die-state.ts';

/** A length of the die as a linear function of its faces and corners. */
export interface AxisRow {
  /** The two numbers, lower first; on a d4 "1-corner". */
  readonly name: string;
  /** mm. */
  readonly length: number;
  /** Per face, then per corner. */
  readonly row: Float64Array;
}

/** Axes of a die in the order of their lower number; on a d4 from each face to the far side of the corner opposite. */
export function axesOf(shape: DieState): AxisRow[] {
  const { solid, distances } = shape;
  const n = distances.length + shape.radii.length;
  const axes = solid.labels.flatMap((label, f): AxisRow[] => {
    if (solid.kind === 'd4') return [cornerAxis(shape, f)];
    const o = solid.opposite[f]!;
    if (!lower(label, solid.labels[o]!)) return [];
    const row = new Float64Array(n);
    row[f] = row[o] = 1;
    return [{ name: `${label}-${solid.labels[o]}`, length: distances[f]! + distances[o]!, row }];
  });
  return axes.sort((a, b) => Number.parseInt(a.name) - Number.parseInt(b.name) || (a.name < b.name ? -1 : 1));
}

const lower = (a: string, b: string): boolean =>
  Number(a) < Number(b) || (!(Number(a) > Number(b)) && (a < b || a === b));

function cornerAxis(shape: DieState, face: number): AxisRow {
  const { solid, distances, radii } = shape;
  const body = bodyOf(shape);
  const normal = vec3At(solid.normals, face);
  let [best, reach] = [0, -Infinity];
  for (let b = 0; b < body.count; b++) {
    const r = body.radii[b]! - dot(normal, vec3At(body.centres, b));
    if (r > reach) [reach, best] = [r, b];
  }
  const row = new Float64Array(distances.length + radii.length);
  row[face] = 1;
  let sum = 0;
  for (let c = 0; c < 3; c++) {
    const m = 9 * best + c;
    const g = normal[0] * body.inverse[m]! + normal[1] * body.inverse[m + 3]! + normal[2] * body.inverse[m + 6]!;
    row[body.faces[3 * best + c]!]! -= g;
    sum += g;
  }
  row[distances.length + body.corner[best]!]! += 1 + sum;
  return { name: `${solid.labels[face]}-corner`, length: distances[face]! + reach, row };
}
