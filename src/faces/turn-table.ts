import { ofShape } from '../geometry/of-shape.ts';
import type { DieSolid } from '../geometry/solid.ts';
import { turnsOf } from '../geometry/symmetry.ts';
import { faceFrames } from './face-frame.ts';

/**
 * The ways in which a die's faces can fill the places ("slots") of a pose: one per turn of the true solid onto itself.
 *
 * A slot is a place of the solid's order as a coarse pose put it before the camera; way `m` has face `face[m * faces + slot]` there, and
 * the slot's picture turned `turn[...]` times 360/n degrees counter-clockwise is that face's own picture.
 */
export interface TurnTable {
  readonly ways: number;
  readonly faces: number;
  readonly face: Int32Array;
  readonly turn: Int32Array;
  /** `times[a * ways + b]`: way `a` after way `b`. */
  readonly times: Int32Array;
  readonly inverse: Int32Array;
  /** The way that leaves each face in its own slot. */
  readonly none: number;
}

/** Worked out once for each shape. */
export const turnTable: (solid: DieSolid) => TurnTable = ofShape(made);

function made(solid: DieSolid): TurnTable {
  const turns = turnsOf(solid);
  const frames = faceFrames(solid);
  const [ways, faces] = [turns.length, solid.labels.length];
  const face = new Int32Array(ways * faces);
  const turn = new Int32Array(ways * faces);
  const index = new Map(turns.map((t, m) => [t.faces.join(), m]));
  turns.forEach((t, m) => {
    t.faces.forEach((to, slot) => {
      face[m * faces + slot] = to;
      turn[m * faces + slot] = frames[to]!.corners.indexOf(t.corners[frames[slot]!.corners[0]!]!);
    });
  });
  const times = new Int32Array(ways * ways);
  const inverse = new Int32Array(ways);
  const none = index.get(solid.labels.map((_, f) => f).join())!;
  for (let a = 0; a < ways; a++)
    for (let b = 0; b < ways; b++) {
      const c = index.get(turns[b]!.faces.map((f) => turns[a]!.faces[f]!).join())!;
      times[a * ways + b] = c;
      if (c === none) inverse[a] = b;
    }
  return { ways, faces, face, turn, times, inverse, none };
}
