import { product, rotationOf, viewingRay, type Camera, type Rigid } from '../geometry/camera.ts';
import { contactFinder, newContact } from '../geometry/hull.ts';
import { seenDie, turnAboutUp, uprightTurn, type SeenDie, type Shot } from '../geometry/standing.ts';
import { baseFace } from '../geometry/standing.ts';
import { unitVector, type Vec3 } from '../geometry/vec.ts';
import { solve } from '../maths/linear.ts';
import { bodyOf, type DieState } from '../fit/die-state.ts';
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

export interface BodyPose {
  readonly cameraFromBody: Rigid;
  /** Root mean square distance of the outline's rays from the die, mm. */
  readonly misfit: number;
}

/** Rays of the outline that are used, first for the search, then for the fit. */
const RAYS = { search: 30, fit: 90 } as const;
/** Turns of the picture and of the die that are tried, and the best of them that are followed. */
const TRIES = { rolls: 12, turns: 12, followed: 12 } as const;
const STEPS = 30;

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
    .map((p) => followed(shape, p.cameraFromBody, fine));
  const best = least(first);
  // The same look, but for micrometres, after each turn about the upright axis that lays the true die onto itself.
  const upright = uprightTurn(shape.solid, seen.shot);
  const base = baseFace(shape.solid, seen.shot.up);
  const fold = shape.solid.edges.filter((e) => e.faces.includes(base)).length;
  const others = Array.from({ length: fold - 1 }, (_, k) => {
    const about = product(transposed(upright), product(turnAboutUp((2 * Math.PI * (k + 1)) / fold), upright));
    const { rotation } = best.cameraFromBody;
    return followed(shape, { rotation: product(rotation, about), shift: best.cameraFromBody.shift }, fine);
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

const placedDie = (shape: DieState, cameraFromBody: Rigid): SeenDie =>
  seenDie(bodyOf(shape), cameraFromBody, {
    rotation: Float64Array.of(1, 0, 0, 0, 1, 0, 0, 0, 1),
    shift: [0, 0, 0],
  });

function misfitOf(shape: DieState, cameraFromBody: Rigid, rays: Float64Array): number {
  const find = contactFinder(placedDie(shape, cameraFromBody));
  const at = newContact();
  let sum = 0;
  for (let k = 0; k < rays.length; k += 3) {
    find(rays[k]!, rays[k + 1]!, rays[k + 2]!, at);
    sum += at.distance * at.distance;
  }
  return Math.sqrt((3 * sum) / rays.length);
}

/** Levenberg-Marquardt on turn and shift in the camera frame. */
function followed(shape: DieState, start: Rigid, rays: Float64Array): BodyPose {
  let now: BodyPose = { cameraFromBody: start, misfit: misfitOf(shape, start, rays) };
  let damping = 1e-3;
  for (let step = 0; step < STEPS && damping < 1e4; step++) {
    const move = poseStep(shape, now.cameraFromBody, rays, damping);
    const cameraFromBody = move && movedBy(now.cameraFromBody, move);
    const misfit = cameraFromBody ? misfitOf(shape, cameraFromBody, rays) : Infinity;
    if (cameraFromBody === null || misfit >= now.misfit) {
      damping *= 6;
      continue;
    }
    const done = now.misfit - misfit < 1e-6;
    now = { cameraFromBody, misfit };
    if (done) break;
    damping /= 6;
  }
  return now;
}

/** The six numbers, turn then shift, that a linear fit of the distances asks for. */
function poseStep(shape: DieState, cameraFromBody: Rigid, rays: Float64Array, damping: number): Float64Array | null {
  const die = placedDie(shape, cameraFromBody);
  const find = contactFinder(die);
  const at = newContact();
  const a = new Float64Array(36);
  const g = new Float64Array(6);
  const { shift: o } = cameraFromBody;
  for (let k = 0; k < rays.length; k += 3) {
    find(rays[k]!, rays[k + 1]!, rays[k + 2]!, at);
    const c = (i: number): number =>
      at.share * die.centres[3 * at.first + i]! + (1 - at.share) * die.centres[3 * at.second + i]! - o[i]!;
    const [x, y, z] = [c(0), c(1), c(2)];
    const { ux, uy, uz } = at;
    const row = [-(y * uz - z * uy), -(z * ux - x * uz), -(x * uy - y * ux), -ux, -uy, -uz];
    for (let i = 0; i < 6; i++) {
      g[i]! -= row[i]! * at.distance;
      for (let j = 0; j < 6; j++) a[6 * i + j]! += row[i]! * row[j]!;
    }
  }
  for (let i = 0; i < 6; i++) a[7 * i]! *= 1 + damping;
  return solve(a, g, 6);
}

/** Turned about the body's own origin, then shifted. */
function movedBy({ rotation, shift }: Rigid, m: Float64Array): Rigid {
  return {
    rotation: product(rotationOf([m[0]!, m[1]!, m[2]!]), rotation),
    shift: [shift[0] + m[3]!, shift[1] + m[4]!, shift[2] + m[5]!],
  };
}
