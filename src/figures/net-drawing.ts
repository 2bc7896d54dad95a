import type { DieState } from '../fit/die-state.ts';
import { bodyOf } from '../fit/die-state.ts';
import { dot, minus, vec3At, type Vec3 } from '../geometry/vec.ts';
import { bestNet, type FlatFace } from './net.ts';
import { landRing } from './solid-mesh.ts';

type Xy = readonly [number, number];

/** A face of the net: where its parts are drawn, y down. */
export interface NetFace {
  readonly face: number;
  readonly outline: string;
  /** What is left flat inside the rounding. */
  readonly land: string;
  readonly middle: Xy;
  /** Distance from the middle to the nearest corner. */
  readonly reach: number;
  /** Where each corner's radius is written. */
  readonly corners: readonly { readonly corner: number; readonly at: Xy }[];
  /** The corners themselves, in that order. */
  readonly points: readonly Xy[];
}

export interface NetEdge {
  readonly edge: number;
  readonly path: string;
  /** Where its radius is written, and the turn of that text, degrees. */
  readonly at: Xy;
  readonly turn: number;
}

export interface Net {
  readonly width: number;
  readonly height: number;
  readonly faces: readonly NetFace[];
  /** Each edge once. */
  readonly edges: readonly NetEdge[];
}

/** Width over height that the page has room for. */
export const NET_ASPECT = 1.5;
/** The same on a telephone held upright. */
export const NET_ASPECT_TALL = 0.7;
/** Width of the drawing, its units. */
export const NET_WIDTH = 1000;
const MARGIN = 24;

/** The die laid flat, as wide over high as `aspect` or narrower. */
export function netOf(shape: DieState, aspect: number): Net {
  const flat = bestNet(shape.solid, aspect);
  const all = flat.flatMap((f) => f.xy);
  const low: Xy = [Math.min(...all.map((p) => p[0])), Math.min(...all.map((p) => p[1]))];
  const high: Xy = [Math.max(...all.map((p) => p[0])), Math.max(...all.map((p) => p[1]))];
  const scale = (NET_WIDTH - 2 * MARGIN) / (high[0] - low[0]);
  const at = ([x, y]: Xy): Xy => [MARGIN + (x - low[0]) * scale, MARGIN + (high[1] - y) * scale];
  return {
    width: NET_WIDTH,
    height: 2 * MARGIN + (high[1] - low[1]) * scale,
    faces: flat.map((f) => netFace(shape, f, at)),
    edges: edgesOf(shape, flat, at),
  };
}

const path = (points: readonly Xy[]): string =>
  `M${points.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join('L')}Z`;
const middleOf = (points: readonly Xy[]): Xy => [
  points.reduce((s, p) => s + p[0], 0) / points.length,
  points.reduce((s, p) => s + p[1], 0) / points.length,
];
/** How far into the face a corner's radius is written. */
const INTO = { triangle: 0.5, other: 0.34 } as const;

function netFace(shape: DieState, flat: FlatFace, at: (p: Xy) => Xy): NetFace {
  const points = flat.xy.map(at);
  const middle = middleOf(points);
  const share = points.length === 3 ? INTO.triangle : INTO.other;
  return {
    face: flat.face,
    outline: path(points),
    land: path(landOf(shape, flat).map(at)),
    middle,
    points,
    reach: Math.min(...points.map((p) => Math.hypot(p[0] - middle[0], p[1] - middle[1]))),
    corners: flat.corners.map((corner, i) => ({
      corner,
      at: [0, 1].map((k) => points[i]![k]! + share * (middle[k]! - points[i]![k]!)) as [number, number],
    })),
  };
}

/** A face's land on the net, from the touch points of its balls. */
function landOf(shape: DieState, { face, corners, xy }: FlatFace): Xy[] {
  const { solid, distances } = shape;
  const body = bodyOf(shape);
  const normal = vec3At(solid.normals, face);
  const touching = Array.from({ length: body.count }, (_, b) => b).filter((b) =>
    [0, 1, 2].some((k) => body.faces[3 * b + k] === face),
  );
  if (touching.length < 3) return [];
  // The net is of the true die, of inradius 1.
  const size = distances.reduce((s, d) => s + d, 0) / distances.length;
  const [o, a, b] = [0, 1, corners.length - 1].map((i) => solid.corners[corners[i]!]!.vertex) as [Vec3, Vec3, Vec3];
  const [e, f] = [minus(a, o), minus(b, o)];
  const [ee, ef, ff] = [dot(e, e), dot(e, f), dot(f, f)];
  const [p, q, r] = [xy[0]!, xy[1]!, xy.at(-1)!];
  return landRing(body, normal, touching).map((point): Xy => {
    const d = minus([point[0] / size, point[1] / size, point[2] / size], o);
    const [de, df] = [dot(d, e), dot(d, f)];
    const det = ee * ff - ef * ef;
    const [s, t] = [(de * ff - df * ef) / det, (df * ee - de * ef) / det];
    return [p[0] + s * (q[0] - p[0]) + t * (r[0] - p[0]), p[1] + s * (q[1] - p[1]) + t * (r[1] - p[1])];
  });
}

function edgesOf({ solid }: DieState, flat: readonly FlatFace[], at: (p: Xy) => Xy): NetEdge[] {
  return solid.edges.flatMap((edge, index): NetEdge[] => {
    for (const { face, corners, xy } of flat) {
      if (!edge.faces.includes(face)) continue;
      const i = corners.findIndex(
        (c, k) => edge.corners.includes(c) && edge.corners.includes(corners[(k + 1) % corners.length]!),
      );
      if (i < 0) continue;
      const [p, q] = [at(xy[i]!), at(xy[(i + 1) % xy.length]!)];
      const turn = (Math.atan2(q[1] - p[1], q[0] - p[0]) * 180) / Math.PI;
      const readable = turn > 90 ? turn - 180 : turn <= -90 ? turn + 180 : turn;
      return [{ edge: index, path: `M${p[0]} ${p[1]}L${q[0]} ${q[1]}`, at: middleOf([p, q]), turn: readable }];
    }
    return [];
  });
}
