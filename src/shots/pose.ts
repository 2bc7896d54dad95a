import { product, viewingRay, type Camera } from '../geometry/camera.ts';
import { baseFace, turnAboutUp, uprightTurn, type Shot } from '../geometry/standing.ts';
import { unitVector, type Vec3 } from '../geometry/vec.ts';
import type { DieState } from '../fit/die-state.ts';
import { freePose, misfitOf, type BodyPose } from '../fit/free-pose.ts';
import { plannedPhoto, USUAL_SETTING } from './information.ts';

/** What is known of a photo whose pose is looked for. */
export interface SeenOutline {
  readonly shot: Shot;
  readonly camera: Camera;
  /** Lean of the camera, radians, and picture scale at the die, mm per px. */
  readonly lean: number;
  readonly scale: number;
  /** The fitted outline, [u, v] per point, px. */
  readonly model: ArrayLike<number>;
}

/** Rays of the outline that are used, first for the search, then for the fit. */
const RAYS = { search: 30, fit: 90 } as const;
/** Turns of the picture and of the die that are tried, and the best of them that are followed. */
const TRIES = { rolls: 12, turns: 12, followed: 12 } as const;

/**
 * Where a die of known shape stood before the camera, from its fitted outline.
 *
 * The outline being that of the fitted die, it holds the pose to rounding: turns of the true die onto itself are told apart by
 * micrometres. Null for an outline of too few points.
 */
export function bodyPose(shape: DieState, seen: SeenOutline): BodyPose | null {
  const fine = raysOf(seen, RAYS.fit);
  if (fine.length < 18) return null;
  const coarse = raysOf(seen, RAYS.search);
  const toward = unitVector(meanRay(fine));
  const depth = seen.scale * seen.camera.f;
  const shift: Vec3 = [toward[0] * depth, toward[1] * depth, toward[2] * depth];
  const first = starts(shape, seen)
    .map((rotation): BodyPose => ({ cameraFromBody: { rotation, shift }, misfit: 0 }))
    .map((p) => ({ ...p, misfit: misfitOf(shape, p.cameraFromBody, coarse) }))
    .sort((a, b) => a.misfit - b.misfit)
    .slice(0, TRIES.followed)
    .map((p) => freePose(shape, p.cameraFromBody, fine));
  const best = least(first);
  // The same look, but for micrometres, after each turn about the upright axis that lays the true die onto itself.
  const upright = uprightTurn(shape.solid, seen.shot);
  const base = baseFace(shape.solid, seen.shot.up);
  const fold = shape.solid.edges.filter((e) => e.faces.includes(base)).length;
  const others = Array.from({ length: fold - 1 }, (_, k) => {
    const about = product(transposed(upright), product(turnAboutUp((2 * Math.PI * (k + 1)) / fold), upright));
    const { rotation } = best.cameraFromBody;
    return freePose(shape, { rotation: product(rotation, about), shift: best.cameraFromBody.shift }, fine);
  });
  return least([best, ...others]);
}

const least = (list: readonly BodyPose[]): BodyPose => list.reduce((a, b) => (b.misfit < a.misfit ? b : a));
const transposed = (r: Float64Array): Float64Array => r.map((_, i) => r[3 * (i % 3) + Math.floor(i / 3)]!);

/** Body to camera rotations: the lean is known, the turns of picture and die are not. */
function starts(shape: DieState, { shot, lean }: SeenOutline): Float64Array[] {
  const upright = uprightTurn(shape.solid, shot);
  const leaned = plannedPhoto({ ...shot, lean, turn: 0 }, USUAL_SETTING).cameraFromCard.rotation;
  const out: Float64Array[] = [];
  for (let r = 0; r < TRIES.rolls; r++)
    for (let t = 0; t < TRIES.turns; t++) {
      const roll = turnAboutUp((2 * Math.PI * r) / TRIES.rolls);
      const turn = turnAboutUp((2 * Math.PI * t) / TRIES.turns);
      out.push(product(roll, product(leaned, product(turn, upright))));
    }
  return out;
}

/** Unit viewing rays evenly spread over the outline, [x, y, z] each. */
function raysOf({ camera, model }: SeenOutline, count: number): Float64Array {
  const n = model.length / 2;
  const used = Math.min(n, count);
  const out = new Float64Array(3 * used);
  for (let k = 0; k < used; k++) {
    const i = Math.floor((k * n) / used);
    out.set(viewingRay(camera, model[2 * i]!, model[2 * i + 1]!), 3 * k);
  }
  return out;
}

function meanRay(rays: Float64Array): Vec3 {
  const sum: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < rays.length; i++) sum[i % 3]! += rays[i]!;
  return sum;
}
