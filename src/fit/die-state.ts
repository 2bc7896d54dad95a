import type { Camera, Rigid } from '../geometry/camera.ts';
import { balls, type Balls, type DieSolid } from '../geometry/solid.ts';
import {
  baseFace,
  cardFromBody,
  seenDie,
  uprightTurn,
  type SeenDie,
  type Shot,
  type Stand,
} from '../geometry/standing.ts';
import { dot, vec3At } from '../geometry/vec.ts';

/** What the fit needs to know of one photo. */
export interface FitPhoto {
  readonly camera: Camera;
  readonly cameraFromCard: Rigid;
  readonly shot: Shot;
}

/** Die and stands as they are believed at the moment. */
export interface DieState {
  readonly solid: DieSolid;
  /** mm, per face. */
  readonly distances: Float64Array;
  /** mm, per corner. */
  readonly radii: Float64Array;
  /** One per photo. */
  readonly stands: readonly Stand[];
}

const LEAST_RADIUS = 0.01;

/** Parameters in order: distances, radii, then x, y, yaw per photo. */
export const parameterCount = (state: DieState): number =>
  state.distances.length + state.radii.length + 3 * state.stands.length;

const bodies = new WeakMap<DieState, Balls>();

/** The balls of a state; worked out once. */
export function bodyOf(state: DieState): Balls {
  let body = bodies.get(state);
  if (!body) bodies.set(state, (body = balls(state.solid, state.distances, state.radii)));
  return body;
}

export function seenIn(state: DieState, photo: FitPhoto, i: number): SeenDie {
  const upright = uprightTurn(state.solid, photo.shot);
  const height = state.distances[baseFace(state.solid, photo.shot.up)]!;
  return seenDie(bodyOf(state), photo.cameraFromCard, cardFromBody(upright, state.stands[i]!, height));
}

/** How far inside the others' reach a face that touched nothing is put back, mm: just enough to touch. */
const TOUCH = 1e-4;

/**
 * Draws faces that touch no ball in to where they do.
 *
 * Where more than three faces meet, a plane too far out cuts nothing off: no outline would ever pull it back.
 */
function touching(solid: DieSolid, distances: Float64Array, radii: Float64Array): Float64Array {
  const body = balls(solid, distances, radii);
  const touched = new Uint8Array(distances.length);
  for (const f of body.faces) touched[f] = 1;
  return distances.map((d, f) => {
    if (touched[f]) return d;
    let reach = -Infinity;
    for (let b = 0; b < body.count; b++)
      reach = Math.max(reach, dot(vec3At(solid.normals, f), vec3At(body.centres, b)) + body.radii[b]!);
    return Math.min(d, reach - TOUCH);
  });
}

export function moveState(state: DieState, h: Float64Array): DieState {
  const faces = state.distances.length;
  const shape = faces + state.radii.length;
  const radii = state.radii.map((v, i) => Math.max(LEAST_RADIUS, v + h[faces + i]!));
  return {
    solid: state.solid,
    distances: touching(
      state.solid,
      state.distances.map((v, i) => v + h[i]!),
      radii,
    ),
    radii,
    stands: state.stands.map((s, i) => ({
      x: s.x + h[shape + 3 * i]!,
      y: s.y + h[shape + 3 * i + 1]!,
      yaw: s.yaw + h[shape + 3 * i + 2]!,
    })),
  };
}
