import { IDENTITY, product, rotationOf, type Rigid } from '../geometry/camera.ts';
import { contactFinder, newContact } from '../geometry/hull.ts';
import { seenDie, type SeenDie } from '../geometry/standing.ts';
import { byFactors, descended, type Slope } from '../maths/descent.ts';
import { solve } from '../maths/linear.ts';
import { bodyOf, type DieState } from './die-state.ts';

/** Where a die of known shape lies before the camera, however it lies. */
export interface BodyPose {
  readonly cameraFromBody: Rigid;
  /** Root mean square distance of the outline's rays from the die, mm. */
  readonly misfit: number;
}

const STEPS = 30;

const placedDie = (shape: DieState, cameraFromBody: Rigid): SeenDie => seenDie(bodyOf(shape), cameraFromBody, IDENTITY);

/** Root mean square distance of rays from the die, mm. @param rays  Unit vectors, [x, y, z] each. */
export function misfitOf(shape: DieState, cameraFromBody: Rigid, rays: Float64Array): number {
  const find = contactFinder(placedDie(shape, cameraFromBody));
  const at = newContact();
  let sum = 0;
  for (let k = 0; k < rays.length; k += 3) {
    find(rays[k]!, rays[k + 1]!, rays[k + 2]!, at);
    sum += at.distance * at.distance;
  }
  return Math.sqrt((3 * sum) / rays.length);
}

const DAMPING = byFactors(1e-3, 6, 6, 0, 1e4);
/** A misfit that falls by less, mm, has settled. */
const SETTLED = 1e-6;

type Place = BodyPose & { readonly cost: number };

/** The pose near `start` in which the rays touch the die: a descent by turn and shift in the camera frame. */
export function freePose(shape: DieState, start: Rigid, rays: Float64Array): BodyPose {
  const placeAt = (cameraFromBody: Rigid): Place => {
    const misfit = misfitOf(shape, cameraFromBody, rays);
    return { cameraFromBody, misfit, cost: misfit };
  };
  const slope: Slope<Place> = {
    tried: ({ cameraFromBody }, damping) => {
      const move = poseStep(shape, cameraFromBody, rays, damping);
      return move && placeAt(movedBy(cameraFromBody, move));
    },
    ends: (_, gain) => gain !== null && gain < SETTLED,
  };
  const { cameraFromBody, misfit } = descended(placeAt(start), slope, DAMPING, STEPS).place;
  return { cameraFromBody, misfit };
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
