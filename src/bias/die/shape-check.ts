import { DIE_KINDS, type DieKind } from '../../geometry/solid.ts';
import { dot, minus, vec3At, type Vec3 } from '../../geometry/vec.ts';
import { failure, success, type Result } from '../../result.ts';
import { solidFor, without, type DieShape } from './die-shape.ts';
import { faceFrame } from './face-frame.ts';
import { hullBalls, trimPlane, type Ball } from './hull-balls.ts';

/** Why a shape cannot be thrown; the numbers that say so beside the code. Faces and corners by name. */
export type ShapeFault =
  | { readonly code: 'kind-not-modelled'; readonly kind: string }
  | { readonly code: 'count-wrong'; readonly what: string; readonly seen: number; readonly needed: number }
  | { readonly code: 'not-a-length'; readonly what: string; readonly value: number }
  | { readonly code: 'faces-do-not-close'; readonly face: string }
  | { readonly code: 'radius-too-large'; readonly corner: string; readonly radius: number }
  | { readonly code: 'mark-impossible'; readonly height: number; readonly width: number }
  | { readonly code: 'mark-off-face'; readonly reach: number; readonly land: number }
  | { readonly code: 'crown-too-high'; readonly face: string; readonly crown: number }
  | { readonly code: 'trim-not-an-edge'; readonly faces: readonly [string, string] }
  | { readonly code: 'trim-too-deep'; readonly depth: number }
  | { readonly code: 'mass-outside'; readonly offset: readonly number[] };

export const isKind = (kind: string): kind is DieKind => (DIE_KINDS as readonly string[]).includes(kind);

/** What makes a shape impossible, or null; checked before anything is computed from it. */
export function shapeFault(shape: DieShape): ShapeFault | null {
  if (!isKind(shape.kind)) return { code: 'kind-not-modelled', kind: String(shape.kind) };
  return numberFault(shape) ?? closingFault(shape) ?? flawFault(shape);
}

/** The shape itself where it can be thrown. */
export function checkedShape(shape: DieShape): Result<DieShape, ShapeFault> {
  const fault = shapeFault(shape);
  return fault ? failure(fault) : success(shape);
}

function numberFault(shape: DieShape): ShapeFault | null {
  const { labels, corners } = solidFor(shape);
  const counts = [
    ['faces', shape.distances.length, labels.length],
    ['labels', shape.labels.length, labels.length],
    ['corners', shape.radii.length, corners.length],
    ['crowns', shape.crowns?.length ?? labels.length, labels.length],
  ] as const;
  for (const [what, seen, needed] of counts) if (seen !== needed) return { code: 'count-wrong', what, seen, needed };
  const positive = (value: number): boolean => Number.isFinite(value) && value > 0;
  const notNegative = (value: number): boolean => Number.isFinite(value) && value >= 0;
  const bad = (what: string, values: readonly number[], good: (v: number) => boolean): ShapeFault | null => {
    const value = values.find((v) => !good(v));
    return value === undefined ? null : { code: 'not-a-length', what, value };
  };
  const { mark, trim, massOffset } = shape;
  return (
    bad('face distance', shape.distances, positive) ??
    bad('corner radius', shape.radii, notNegative) ??
    bad('crown', shape.crowns ?? [], Number.isFinite) ??
    bad('mark', mark ? [mark.height, mark.width] : [], notNegative) ??
    bad('place of the mark', mark ? mark.at : [], Number.isFinite) ??
    bad('depth of the trim', trim ? [trim.depth] : [], notNegative) ??
    bad('centre of mass', massOffset ?? [], Number.isFinite)
  );
}

function closingFault(shape: DieShape): ShapeFault | null {
  const whole = without(shape, 'trim');
  const sharp = { ...whole, radii: shape.radii.map(() => 0) };
  const face = unclosed(sharp, hullBalls(sharp));
  if (face >= 0) return { code: 'faces-do-not-close', face: shape.labels[face] };
  const rounded = hullBalls(whole);
  if (unclosed(whole, rounded) < 0 && edgesRun(whole, rounded)) return null;
  const worst = shape.radii.indexOf(Math.max(...shape.radii));
  return { code: 'radius-too-large', corner: cornerName(shape, worst), radius: shape.radii[worst] };
}

/** Index of a face without land or that cuts off a corner where it does not belong; -1 where all planes close. */
function unclosed(shape: DieShape, balls: readonly Ball[]): number {
  const { normals, corners } = solidFor(shape);
  return shape.distances.findIndex((d, f) => {
    const n = vec3At(normals, f);
    const over = balls.map((b) => dot(n, b.centre) + b.radius - d);
    if (over.some((o) => o > 1e-6 * d)) return true;
    const land = new Set(balls.flatMap((b, i) => (over[i] > -1e-6 * d ? [b.corner] : [])));
    return corners.some((c, k) => c.faces.includes(f) && !land.has(k));
  });
}

/** Whether the balls at the two ends of each edge stand in the order of its ends. */
function edgesRun(shape: DieShape, balls: readonly Ball[]): boolean {
  const { edges, corners } = solidFor(shape);
  const middle = corners.map((_, k) => {
    const own = balls.filter((b) => b.corner === k);
    return own.reduce<Vec3>((s, { centre: c }) => [s[0] + c[0], s[1] + c[1], s[2] + c[2]], [0, 0, 0]);
  });
  return edges.every(({ corners: [a, b] }) => {
    const along = minus(corners[b].vertex, corners[a].vertex);
    return dot(along, minus(middle[b], middle[a])) > 0;
  });
}

function flawFault(shape: DieShape): ShapeFault | null {
  const { mark, trim, massOffset, crowns } = shape;
  const crowned = (crowns ?? []).findIndex((c, f) => c > 0.2 * faceFrame(shape, f).innerRadius);
  if (crowned >= 0) return { code: 'crown-too-high', face: shape.labels[crowned], crown: crowns![crowned] };
  if (mark && mark.height > 0) {
    if (!(mark.face in shape.labels))
      return { code: 'count-wrong', what: 'face of the mark', seen: mark.face, needed: shape.labels.length };
    if (mark.height > mark.width / 2) return { code: 'mark-impossible', height: mark.height, width: mark.width };
    const land = faceFrame(shape, mark.face).innerRadius;
    const reach = Math.hypot(...mark.at);
    if (reach > 1.5 * land) return { code: 'mark-off-face', reach, land };
  }
  return (trim ? trimFault(shape) : null) ?? (massOffset ? massFault(shape, massOffset) : null);
}

function trimFault(shape: DieShape): ShapeFault | null {
  const { trim, ...whole } = shape;
  const [f, g] = trim!.faces;
  const edge = solidFor(shape).edges.find((e) => e.faces.includes(f) && e.faces.includes(g) && f !== g);
  if (!edge) return { code: 'trim-not-an-edge', faces: [shape.labels[f] ?? String(f), shape.labels[g] ?? String(g)] };
  const corners = hullBalls(whole);
  const { normal, distance } = trimPlane(shape, corners, trim!);
  const elsewhere = corners.filter((c) => !edge.corners.includes(c.corner));
  const room = elsewhere.every((c) => dot(c.centre, normal) + c.radius < distance);
  return room && hullBalls(shape).length >= corners.length ? null : { code: 'trim-too-deep', depth: trim!.depth };
}

function massFault(shape: DieShape, offset: readonly number[]): ShapeFault | null {
  const least = Math.min(...shape.distances);
  return Math.hypot(...offset) < 0.5 * least ? null : { code: 'mass-outside', offset };
}

export const cornerName = (shape: DieShape, corner: number): string =>
  solidFor(shape)
    .corners[corner].faces.map((f) => shape.labels[f])
    .sort((a, b) => Number(a) - Number(b))
    .join('-');
