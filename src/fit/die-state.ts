import type { Camera, Rigid } from '../geometry/camera.ts';
import { landsOf, seenCrowns, type Lands } from '../geometry/crown.ts';
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
  /** How far each face's middle stands proud of its rim, mm; sinks are negative. Left out: all flat, and no parameters. */
  readonly crowns?: Float64Array;
  /** The lands that the crowns rise over, held while a fit goes on; with `crowns` alone. */
  readonly lands?: Lands;
  /** One per photo. */
  readonly stands: readonly Stand[];
}

const LEAST_RADIUS = 0.01;

/** Parameters in order: distances, radii, crowns where they are free, then x, y, yaw per photo. */
export const parameterCount = (state: DieState): number => shapeCount(state) + 3 * state.stands.length;

/** How many of the parameters are the shape's. */
export const shapeCount = ({ distances, radii, crowns }: DieState): number =>
  distances.length + radii.length + (crowns?.length ?? 0);

/** The same die with its crowns as parameters and the lands as they now are. */
export const withCrowns = (state: DieState, crowns: Float64Array): DieState => ({
  ...state,
  crowns,
  lands: landsOf(state.solid, bodyOf({ ...state })),
});

const bodies = new WeakMap<DieState, Balls>();

/** The balls of a state; worked out once. */
export function bodyOf(state: DieState): Balls {
  let body = bodies.get(state);
  if (!body) bodies.set(state, (body = balls(state.solid, state.distances, state.radii)));
  return body;
}

/** The die as a photo shows it. `standing` are the crowns it stands on, where they are others than its own. */
export function seenIn(state: DieState, photo: FitPhoto, i: number, standing = state.crowns): SeenDie {
  const upright = uprightTurn(state.solid, photo.shot);
  const base = baseFace(state.solid, photo.shot.up);
  // A crowned face stands on its middle, a sunk one on its rim.
  const height = state.distances[base]! + Math.max(0, standing?.[base] ?? 0);
  const die = seenDie(bodyOf(state), photo.cameraFromCard, cardFromBody(upright, state.stands[i]!, height));
  const { solid, distances, crowns, lands } = state;
  return crowns && lands ? { ...die, crowns: seenCrowns(solid, distances, crowns, lands, die.cameraFromBody) } : die;
}

/** How far inside the others' reach a face that touched nothing is put back, mm: just enough to touch. */
const TOUCH = 1e-4;

/**
 * Draws faces that touch no ball in to where they do.
 *
 * Where more than three faces meet, a plane too far out cuts nothing off: no outline would ever pull it back.
 */
function touching(solid: DieSolid, body: Balls, distances: Float64Array): Float64Array {
  const touched = new Uint8Array(distances.length);
  for (const f of body.faces) touched[f] = 1;
  if (!touched.includes(0)) return distances;
  return distances.map((d, f) => {
    if (touched[f]) return d;
    let reach = -Infinity;
    for (let b = 0; b < body.count; b++)
      reach = Math.max(reach, dot(vec3At(solid.normals, f), vec3At(body.centres, b)) + body.radii[b]!);
    return Math.min(d, reach - TOUCH);
  });
}

/** Sums of numbers with those of `h` that begin at a place. */
function sumWith(values: Float64Array, h: Float64Array, at: number): Float64Array {
  const out = values.slice();
  for (let i = 0; i < out.length; i++) out[i]! += h[at + i]!;
  return out;
}

export function moveState(state: DieState, h: Float64Array): DieState {
  const faces = state.distances.length;
  const shape = shapeCount(state);
  const crownsAt = faces + state.radii.length;
  const { solid } = state;
  const radii = sumWith(state.radii, h, faces);
  for (let i = 0; i < radii.length; i++) radii[i] = Math.max(LEAST_RADIUS, radii[i]!);
  const moved = sumWith(state.distances, h, 0);
  const body = balls(solid, moved, radii);
  const distances = touching(solid, body, moved);
  const next: DieState = {
    ...state,
    distances,
    radii,
    ...(state.crowns ? { crowns: sumWith(state.crowns, h, crownsAt) } : {}),
    stands: state.stands.map((s, i) => ({
      x: s.x + h[shape + 3 * i]!,
      y: s.y + h[shape + 3 * i + 1]!,
      yaw: s.yaw + h[shape + 3 * i + 2]!,
    })),
  };
  if (distances === moved) bodies.set(next, body);
  return next;
}
