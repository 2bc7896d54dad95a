import { dieSolid, type DieKind, type DieSolid } from '../geometry/solid.ts';
import { baseFace } from '../geometry/standing.ts';
import { turnsOf } from '../geometry/symmetry.ts';
import { dot, vec3At } from '../geometry/vec.ts';
import { radians } from '../units.ts';
import type { DieState } from '../fit/die-state.ts';
import {
  shotInformation,
  type EdgeNoise,
  type PhotoSetting,
  type PlannedShot,
  type ShotInformation,
} from './information.ts';

/** Face to face of the usual moulds, mm (common practice; a d4 from face to corner). */
export const USUAL_SIZE: Readonly<Record<DieKind, number>> = { d4: 18, d6: 16, d8: 15, d10: 16, d12: 18.5, d20: 20 };
/** Corner radius over face to face of a tumbled die (common practice). */
export const USUAL_RADIUS = 0.045;
/** Faces of the die a plan is made for stand so far off their mean, mm: planes that meet in one point would have no derivative. */
const UNEVEN = 0.02;

/** Leans of the camera a person can tell apart, degrees; straight above is where a telephone shades the die. */
export const LEANS = [4, 8, 12, 16, 20, 25] as const;
/** Turns of the die beside its front looking straight, degrees, where few faces can be its front. */
export const TURNS = [-20, 0, 20] as const;
/** Faces that can be a front are no steeper than this (sine of the angle over the card): it must be read from the side. */
const FRONT = { least: -0.05, most: 0.9 } as const;
/** From so many fronts on, the fronts alone are turns enough. */
const MANY_FRONTS = 6;
/** No face should be nearer to being seen edge-on, radians: it would mirror the stage and vanish. */
export const EDGE_ON = radians(3.5);

/** The die a plan is made for: of usual size, a little uneven. */
export function usualShape(solid: DieSolid, size: number = USUAL_SIZE[solid.kind]): DieState {
  const half = solid.kind === 'd4' ? size / 4 : size / 2;
  return {
    solid,
    distances: Float64Array.from(solid.labels, (_, f) => half + UNEVEN * Math.sin(1 + 2.4 * f)),
    radii: new Float64Array(solid.corners.length).fill(USUAL_RADIUS * size),
    stands: [],
  };
}

/** Shots that can be taken, each with what it says. */
export interface Candidates {
  readonly shape: DieState;
  readonly shots: readonly PlannedShot[];
  /** What a candidate says; worked out at its first use. */
  readonly information: (index: number) => ShotInformation;
  /** One candidate of each group that only a turn of the true die tells apart. */
  readonly representatives: readonly number[];
}

/** Faces that may be said to be in front while `up` is up. */
export function frontsOf(solid: DieSolid, up: string): string[] {
  const down = vec3At(solid.normals, baseFace(solid, up));
  return solid.labels.filter((label, f) => {
    const rise = -dot(vec3At(solid.normals, f), down);
    return label !== up && rise > FRONT.least && rise < FRONT.most;
  });
}

/** All shots worth a thought for a die of usual shape. */
export function candidates(
  kind: DieKind | DieSolid,
  setting?: PhotoSetting,
  noise?: EdgeNoise,
  size?: number,
): Candidates {
  const solid = typeof kind === 'string' ? dieSolid(kind) : kind;
  const shape = usualShape(solid, size);
  const all: PlannedShot[] = solid.labels.flatMap((up) => {
    const fronts = frontsOf(solid, up);
    const turns = fronts.length >= MANY_FRONTS ? [0] : TURNS;
    return fronts.flatMap((front) =>
      turns.flatMap((turn) => LEANS.map((lean) => ({ up, front, lean: radians(lean), turn: radians(turn) }))),
    );
  });
  const { home, turn } = homes(solid, all);
  const known = new Map<number, ShotInformation>();
  const at = (i: number): ShotInformation => {
    let own = known.get(home[i]!);
    if (own === undefined) known.set(home[i]!, (own = shotInformation(shape, all[home[i]!]!, setting, noise)));
    return own;
  };
  const clear = all.map((_, i) => i).filter((i) => at(i).edgeOn >= EDGE_ON);
  const kept = clear.length > 0 ? clear : all.map((_, i) => i);
  const shots = kept.map((i) => all[i]!);
  const order = kept.map((i) => parameterOrder(solid, turn[i]!));
  return {
    shape,
    shots,
    information: (k) => permuted(at(kept[k]!), order[k]!),
    representatives: kept.flatMap((i, k) => (home[i] === i ? [k] : [])),
  };
}

/** For each shot the first one that a turn of the true die makes of it, and the number of that turn. */
function homes(solid: DieSolid, shots: readonly PlannedShot[]): { home: Int32Array; turn: Int32Array } {
  const key = (up: number, front: number, s: PlannedShot): string => `${up} ${front} ${s.lean} ${s.turn}`;
  const first = new Map<string, readonly [number, number]>();
  const home = new Int32Array(shots.length);
  const turn = new Int32Array(shots.length);
  shots.forEach((s, i) => {
    const [up, front] = [solid.labels.indexOf(s.up), solid.labels.indexOf(s.front)];
    const found = first.get(key(up, front, s));
    if (found === undefined)
      turnsOf(solid).forEach(({ faces }, t) => {
        const there = key(faces[up]!, faces[front]!, s);
        if (!first.has(there)) first.set(there, [i, t]);
      });
    const [h, t] = first.get(key(up, front, s))!;
    home[i] = h;
    turn[i] = h === i ? -1 : t;
  });
  return { home, turn };
}

/** Where each parameter of the home shot goes under a turn; null leaves all in place. */
function parameterOrder(solid: DieSolid, turn: number): Int32Array | null {
  if (turn < 0) return null;
  const { faces, corners } = turnsOf(solid)[turn]!;
  return Int32Array.from([...faces, ...corners.map((c) => faces.length + c)]);
}

function permuted(own: ShotInformation, order: Int32Array | null): ShotInformation {
  if (order === null) return own;
  const n = order.length;
  const matrix = new Float64Array(n * n);
  const outward = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    outward[order[i]!] = own.outward[i]!;
    for (let j = 0; j < n; j++) matrix[order[i]! * n + order[j]!] = own.matrix[i * n + j]!;
  }
  return { matrix, outward, edgeOn: own.edgeOn };
}
