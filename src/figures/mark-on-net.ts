import type { MarkResult } from '../formats/result.ts';
import { bearingOf, toCorner } from '../geometry/face-bearing.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { norm, type Vec3 } from '../geometry/vec.ts';

type Xy = readonly [number, number];

/** A face as a net lays it: indices of its corners and where these are drawn, y down. */
export interface LaidFace {
  readonly face: number;
  readonly corners: readonly number[];
  readonly points: readonly Xy[];
}

/** Where a mark is drawn on a net: a circle as large as the mark. */
export interface DrawnMark {
  readonly x: number;
  readonly y: number;
  readonly r: number;
}

const middleOf = (points: readonly Xy[]): Xy => [
  points.reduce((s, p) => s + p[0], 0) / points.length,
  points.reduce((s, p) => s + p[1], 0) / points.length,
];

/** Direction in the drawing of a face's corner from its middle, mathematically (y up), and drawing units a mm. */
function frameTo(solid: DieSolid, { face, corners, points }: LaidFace, corner: number, inradius: number) {
  const middle = middleOf(points);
  const p = points[corners.indexOf(corner)]!;
  const [dx, dy] = [p[0] - middle[0], middle[1] - p[1]];
  const perMm = Math.hypot(dx, dy) / (inradius * norm(toCorner(solid, face, corner)));
  return { middle, turn: Math.atan2(dy, dx), perMm };
}

/**
 * A mark on its face of a net; null where its bearing is not known, as in older results.
 *
 * @param inradius  Mean distance of the die's faces, mm.
 */
export function drawnMark(solid: DieSolid, laid: LaidFace, inradius: number, mark: MarkResult): DrawnMark | null {
  const corner = solid.corners.findIndex(({ name }) => name === mark.bearing?.corner);
  if (!mark.bearing || !laid.corners.includes(corner)) return null;
  const { middle, turn, perMm } = frameTo(solid, laid, corner, inradius);
  const angle = turn + mark.bearing.angle;
  const far = perMm * Math.hypot(...mark.place);
  return {
    x: middle[0] + far * Math.cos(angle),
    y: middle[1] - far * Math.sin(angle),
    r: (perMm * Math.sqrt(mark.size[0] * mark.size[1])) / 2,
  };
}

/** Full width of a mark that a person adds without saying more, mm. */
export const ADDED_SIZE = 1;

/** The mark that a person adds by pointing at a place of a net; right and up of its place are those of the drawing. */
export function markAt(solid: DieSolid, laid: LaidFace, inradius: number, [x, y]: Xy): MarkResult {
  const { corner: name } = bearingOf(solid, laid.face, [1, 0, 0] satisfies Vec3);
  const corner = solid.corners.findIndex((c) => c.name === name);
  const { middle, turn, perMm } = frameTo(solid, laid, corner, inradius);
  const [dx, dy] = [(x - middle[0]) / perMm, (middle[1] - y) / perMm];
  const angle = Math.atan2(dy, dx) - turn;
  return {
    face: solid.labels[laid.face]!,
    place: [dx, dy],
    size: [ADDED_SIZE, ADDED_SIZE],
    height: null,
    kind: 'proud',
    from: ['person'],
    bearing: { corner: name, angle: Math.atan2(Math.sin(angle), Math.cos(angle)) },
  };
}
