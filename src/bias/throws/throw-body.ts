import { dot, unitVector, vec3At, type Vec3 } from '../../geometry/vec.ts';
import { failure, success, type Result } from '../../result.ts';
import type { Mm } from '../../units.ts';
import { solidFor, type DieShape } from '../die/die-shape.ts';
import { cornerDirections, hullBalls } from '../die/hull-balls.ts';
import { massProperties, symmetricInverse } from '../die/mass.ts';
import { proudBalls } from '../die/proud-balls.ts';
import { shapeFault, type ShapeFault } from '../die/shape-check.ts';

/**
 * What a throw needs to know of a die. Body frame turned to the centre of mass, mm, mass 1; plain arrays, so it crosses to a worker.
 *
 * Faces count as in the solid; a face's index means: that face lies down.
 */
export interface ThrowBody {
  /** Balls whose hull is the body, crowns and mark included, [x, y, z, r] each. */
  readonly balls: Float64Array;
  /** Symmetric: xx, yy, zz, xy, xz, yz; mm^2 and its inverse. */
  readonly inertia: Float64Array;
  readonly inverseInertia: Float64Array;
  /** Longest turn, rad, over which the change of spin in flight is followed well enough; Infinity where all axes are principal. */
  readonly steadyTurn: number;
  /** No point is farther from the centre of mass, mm. */
  readonly reach: Mm;
  /** The centre of mass never comes lower, mm. */
  readonly low: Mm;
  /** No point moves faster than this times the speed that all the energy would give. */
  readonly speedFactor: number;
  /** Per face [nx, ny, nz, 1 / distance of its land's inner plane]: the ray down leaves through the face of the largest product. */
  readonly faces: Float64Array;
  /** Per face the lowest height of the centre of mass on any way out of lying on it, mm. */
  readonly passes: Float64Array;
}

/** Depth by which a touching ball may stand in the table, mm: passes are lowered by it. */
const SINK = 6e-3;
/** Below this anisotropy the inertia is taken as a ball's: it is what the mesh of the mass properties leaves (1e-5), and 2 um of an axis. */
const ROUND = 2e-4;
/** Turn times anisotropy that keeps the spin's energy to 1e-8 in one step. */
const STEADY = 0.03;
/** Steps along an edge in search of its lowest pass. */
const PASS_STEPS = 24;

/** Body of a shape, or what is impossible about it. Marks and crowns weigh nothing. */
export function throwBody(shape: DieShape): Result<ThrowBody, ShapeFault> {
  const fault = shapeFault(shape);
  return fault ? failure(fault) : success(bodyOf(shape));
}

function bodyOf(shape: DieShape): ThrowBody {
  const solid = solidFor(shape);
  const hull = hullBalls(shape);
  const flat = Float64Array.from(hull.flatMap((b) => [...b.centre, b.radius]));
  const mass = massProperties(flat);
  const offset = shape.massOffset ?? [0, 0, 0];
  const centre: Vec3 = [mass.centre[0] + offset[0], mass.centre[1] + offset[1], mass.centre[2] + offset[2]];
  const balls = Float64Array.from([...flat, ...proudBalls(shape)], (x, i) => (i % 4 < 3 ? x - centre[i % 4] : x));
  const uneven = anisotropy(mass.inertia);
  const inertia = uneven < ROUND ? isotropic(mass.inertia) : mass.inertia;
  const heights = shape.distances.map((d, f) => d - dot(vec3At(solid.normals, f), centre));
  const reach = farthestReach(balls);
  const inner = hull.reduce((s, b) => s + b.radius, 0) / hull.length;
  const body = {
    balls,
    inertia,
    inverseInertia: symmetricInverse(inertia),
    steadyTurn: uneven < ROUND ? Infinity : STEADY / uneven,
    reach,
    low: Math.min(...heights),
    speedFactor: Math.sqrt(1 + (reach * reach) / leastInertia(inertia)),
    faces: Float64Array.from(heights.flatMap((h, f) => [...vec3At(solid.normals, f), 1 / (h - inner)])),
  };
  return { ...body, passes: passesOf(shape, body, cornerDirections(shape, hull, centre)) };
}

function farthestReach(balls: Float64Array): Mm {
  let most = 0;
  for (let o = 0; o < balls.length; o += 4)
    most = Math.max(most, Math.hypot(balls[o], balls[o + 1], balls[o + 2]) + balls[o + 3]);
  return most;
}

/** Largest difference of the inertia tensor's entries from those of a ball's, as a share of it. */
function anisotropy(I: Float64Array): number {
  const mean = (I[0] + I[1] + I[2]) / 3;
  return Math.max(...I.map((x, i) => Math.abs(i < 3 ? x - mean : x))) / mean;
}

function isotropic(I: Float64Array): Float64Array {
  const mean = (I[0] + I[1] + I[2]) / 3;
  return Float64Array.of(mean, mean, mean, 0, 0, 0);
}

/** A lower bound of the least principal inertia (Gershgorin's circles). */
function leastInertia([a, b, c, d, e, f]: Float64Array): number {
  const [p, q, r] = [Math.abs(d), Math.abs(e), Math.abs(f)];
  return Math.min(a - p - q, b - p - r, c - q - r);
}

/**
 * Lowest pass out of each face. Every way out crosses the closed curve of great arcs between the corners round the face, so the
 * least height along that curve is never above the true pass, and meets it where the pass stands over an edge.
 */
function passesOf(shape: DieShape, body: Omit<ThrowBody, 'passes'>, corners: readonly Vec3[]): Float64Array {
  const passes = new Float64Array(shape.distances.length).fill(Infinity);
  for (const { faces, corners: ends } of solidFor(shape).edges) {
    const [a, b] = ends.map((k) => corners[k]);
    const lowest = lowestBetween(body.balls, a, b) - SINK;
    for (const f of faces) passes[f] = Math.min(passes[f], lowest);
  }
  return passes;
}

/** Least support height over the arc from a to b; golden-section search from the best of even steps. */
function lowestBetween(balls: Float64Array, a: Vec3, b: Vec3): number {
  const height = (t: number): number => {
    const n = unitVector([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])]);
    return support(balls, n);
  };
  let at = 0;
  for (let i = 1; i <= PASS_STEPS; i++) if (height(i / PASS_STEPS) < height(at / PASS_STEPS)) at = i;
  let low = Math.max(0, (at - 1) / PASS_STEPS);
  let high = Math.min(1, (at + 1) / PASS_STEPS);
  for (let i = 0; i < 30; i++) {
    const [p, q] = [low + 0.382 * (high - low), low + 0.618 * (high - low)];
    if (height(p) < height(q)) high = q;
    else low = p;
  }
  return height((low + high) / 2);
}

/** Largest extent of the balls in direction `n`, mm: the height of the frame's origin over a table whose normal is -n. */
export function support(balls: Float64Array, n: Vec3): Mm {
  let most = -Infinity;
  for (let o = 0; o < balls.length; o += 4)
    most = Math.max(most, balls[o] * n[0] + balls[o + 1] * n[1] + balls[o + 2] * n[2] + balls[o + 3]);
  return most;
}
