import { dieSolid, type DieSolid } from '../geometry/solid.ts';
import type { Numbering } from '../geometry/numbering.ts';
import { byAxis, cross, dot, minus, unitVector, vec3At, type Vec3 } from '../geometry/vec.ts';
import { INK, Pen, polyline, type Drawing } from './drawing.ts';
import type { ReportResult } from '../formats/report.ts';
import { drawnMark } from './mark-on-net.ts';
import type { Language } from '../text/language.ts';
import { toldIn } from './scale.ts';

type Xy = readonly [number, number];

/** A face laid flat: its corners in order, with the index of each in the solid. */
export interface FlatFace {
  readonly face: number;
  readonly corners: readonly number[];
  readonly xy: readonly Xy[];
}

/** Corners of a face, counter-clockwise from outside. */
function ring(solid: DieSolid, face: number): number[] {
  const n = vec3At(solid.normals, face);
  const own = solid.corners.flatMap((c, i) => (c.faces.includes(face) ? [i] : []));
  const mid = own.reduce<Vec3>((s, i) => byAxis((k) => s[k]! + solid.corners[i]!.vertex[k]! / own.length), [0, 0, 0]);
  const a = unitVector(minus(solid.corners[own[0]!]!.vertex, mid));
  const b = cross(n, a);
  const angle = (i: number): number => {
    const d = minus(solid.corners[i]!.vertex, mid);
    return Math.atan2(dot(b, d), dot(a, d));
  };
  return own.sort((p, q) => angle(p) - angle(q));
}

const distance = (solid: DieSolid, i: number, j: number): number =>
  Math.hypot(...minus(solid.corners[i]!.vertex, solid.corners[j]!.vertex));

/** A face placed so that its corners `i`, `j` (neighbours in its ring) lie at `p`, `q`; y up, the face to the left of p-q. */
function placed(solid: DieSolid, face: number, i: number, j: number, p: Xy, q: Xy): FlatFace {
  const corners = ring(solid, face);
  const side = distance(solid, i, j);
  const [ex, ey] = [(q[0] - p[0]) / side, (q[1] - p[1]) / side];
  const origin = solid.corners[i]!.vertex;
  const along = unitVector(minus(solid.corners[j]!.vertex, origin));
  const inward = cross(vec3At(solid.normals, face), along);
  const xy = corners.map((c): Xy => {
    const d = minus(solid.corners[c]!.vertex, origin);
    const [s, t] = [dot(along, d), dot(inward, d)];
    return [p[0] + s * ex - t * ey, p[1] + s * ey + t * ex];
  });
  return { face, corners, xy };
}

/** Unfolds from `root`, breadth or depth first; null where faces would overlap. */
function unfolded(solid: DieSolid, root: number, depth: boolean): FlatFace[] | null {
  const first = ring(solid, root);
  const side = distance(solid, first[0]!, first[1]!);
  const flat = [placed(solid, root, first[0]!, first[1]!, [0, 0], [side, 0])];
  const open = [flat[0]!];
  const done = new Set([root]);
  while (open.length > 0) {
    const from = depth ? open.at(-1)! : open[0]!;
    let placedOne = false;
    for (let k = 0; k < from.corners.length; k++) {
      const m = (k + 1) % from.corners.length;
      const [i, j] = [from.corners[k]!, from.corners[m]!];
      const next = solid.edges.find(
        (e) => e.faces.includes(from.face) && e.corners.includes(i) && e.corners.includes(j),
      );
      const face = next && (next.faces[0] === from.face ? next.faces[1] : next.faces[0]);
      if (face === undefined || done.has(face)) continue;
      const laid = placed(solid, face, j, i, from.xy[m]!, from.xy[k]!);
      if (flat.some((f) => overlap(f.xy, laid.xy))) continue;
      done.add(face);
      flat.push(laid);
      open.push(laid);
      placedOne = true;
      if (depth) break;
    }
    if (!depth) open.shift();
    else if (!placedOne) open.pop();
  }
  return done.size === solid.labels.length ? flat : null;
}

/** Whether two convex polygons share more than their rims (separating axes). */
function overlap(a: readonly Xy[], b: readonly Xy[]): boolean {
  for (const polygon of [a, b])
    for (let i = 0; i < polygon.length; i++) {
      const [p, q] = [polygon[i]!, polygon[(i + 1) % polygon.length]!];
      const [nx, ny] = [q[1] - p[1], p[0] - q[0]];
      const size = Math.hypot(nx, ny);
      const along = (list: readonly Xy[]): number[] => list.map(([x, y]) => (x * nx + y * ny) / size);
      const [s, t] = [along(a), along(b)];
      if (Math.max(...s) < Math.min(...t) + 1e-6 || Math.max(...t) < Math.min(...s) + 1e-6) return false;
    }
  return true;
}

/** The net that fills a frame of this shape best, of all faces to start from and both orders; turned by a quarter where that is better. */
export function bestNet(solid: DieSolid, aspect: number): FlatFace[] {
  let best: FlatFace[] | null = null;
  let most = 0;
  for (let root = 0; root < solid.labels.length; root++)
    for (const depth of [false, true]) {
      const net = unfolded(solid, root, depth);
      if (!net) continue;
      for (let turn = 0; turn < 12; turn += solid.kind === 'd6' ? 6 : 1) {
        const [c, s] = [Math.cos((turn * Math.PI) / 12), Math.sin((turn * Math.PI) / 12)];
        const turned = net.map((f) => ({ ...f, xy: f.xy.map(([x, y]): Xy => [c * x - s * y, s * x + c * y]) }));
        const { width, height } = frame(turned);
        const scale = Math.min(aspect / width, 1 / height);
        if (scale > most * (1 + 1e-9)) [most, best] = [scale, turned];
      }
    }
  if (!best) throw new Error(`${solid.kind}: no net without overlap`);
  return best;
}

function frame(net: readonly FlatFace[]): { left: number; top: number; width: number; height: number } {
  const xs = net.flatMap((f) => f.xy.map(([x]) => x));
  const ys = net.flatMap((f) => f.xy.map(([, y]) => y));
  const [left, top] = [Math.min(...xs), Math.min(...ys)];
  return { left, top, width: Math.max(...xs) - left, height: Math.max(...ys) - top };
}

const nets = new Map<string, FlatFace[]>();

/** A net hangs on the kind of die alone, not on its numbers. */
function keptNet(solid: DieSolid, aspect: number): FlatFace[] {
  const key = `${solid.kind} ${aspect}`;
  const net = nets.get(key) ?? bestNet(solid, aspect);
  nets.set(key, net);
  return net;
}

/** The die unfolded: numbers on the faces, the radius of each corner (mm) in the faces that meet there, marks as circles. */
export function netFigure(
  result: ReportResult,
  numbering: Numbering | null,
  width: number,
  height: number,
  language: Language = 'en',
): Drawing {
  const told = toldIn(language);
  const solid = dieSolid(result.die.kind, numbering ?? undefined);
  const net = keptNet(solid, width / height);
  const f = frame(net);
  const k = Math.min((width - 8) / f.width, (height - 8) / f.height);
  const at = ([x, y]: Xy): Xy => [
    (width - k * f.width) / 2 + (x - f.left) * k,
    (height - k * f.height) / 2 + (f.top + f.height - y) * k,
  ];
  const radius = new Map(result.corners.map((c) => [c.name, c.radius]));
  const inradius = result.faces.reduce((s, f) => s + f.distance, 0) / result.faces.length;
  const pen = new Pen();
  for (const { face, corners, xy } of net) {
    const points = xy.map(at);
    const mid: Xy = [0, 1].map((c) => points.reduce((s, p) => s + p[c]!, 0) / points.length) as [number, number];
    pen.path(polyline(points, true), { width: 0.8 });
    const reach = Math.min(...points.map((p) => Math.hypot(p[0] - mid[0], p[1] - mid[1])));
    const size = Math.max(4, Math.min(7.5, reach / (points.length === 3 ? 5.2 : 4.4)));
    pen.text(solid.labels[face]!, mid[0], mid[1] + 0.5 * size, { size: 1.5 * size, anchor: 'middle', bold: true });
    for (const mark of result.marks ?? []) {
      const drawn = mark.face === solid.labels[face] && drawnMark(solid, { face, corners, points }, inradius, mark);
      if (drawn) pen.dot(drawn.x, drawn.y, Math.max(1.5, drawn.r), null, { colour: INK.black, width: 1 });
    }
    points.forEach((p, i) => {
      const value = radius.get(solid.corners[corners[i]!]!.name);
      if (value === undefined) return;
      const share = points.length === 3 ? 0.46 : 0.3;
      const [x, y] = [p[0] + share * (mid[0] - p[0]), p[1] + share * (mid[1] - p[1])];
      pen.text(told(value, 2), x, y + 0.35 * size, { size, anchor: 'middle', colour: INK.black });
    });
  }
  return pen.drawing(width, height);
}
