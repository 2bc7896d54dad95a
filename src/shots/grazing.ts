import { believedCrowns, type FlatSight } from '../fit/crown-prior.ts';
import { bodyOf, type DieState } from '../fit/die-state.ts';
import { elevationsFrom } from '../fit/grazed.ts';
import { composed } from '../geometry/camera.ts';
import { landsOf } from '../geometry/crown.ts';
import { baseFace, cardFromBody, uprightTurn } from '../geometry/standing.ts';
import { byAxis, norm } from '../geometry/vec.ts';
import { FLATNESS, hiddenCrown } from '../measure/flatness.ts';
import { FINISH_PRIOR } from '../measure/finish.ts';
import { radians } from '../units.ts';
import { frontsOf } from './candidates.ts';
import { plannedPhoto, type PhotoSetting, type PlannedShot } from './information.ts';

/** A photo that sees a face edge-on, and what it does for the crowns' part of the axes' doubt: mean U95 before and after, mm. */
export interface GrazingShot {
  readonly shot: PlannedShot & { readonly grazes: string };
  readonly before: number;
  readonly after: number;
}

export const GRAZING_PLAN = {
  /** Leans that a hand holds, degrees, and the steps in which they are searched. */
  lean: [0, 30],
  step: 3,
  /** Turns of the die, degrees: faces that its fronts do not look along come before the camera so. */
  turns: [0, 36, -36, 60, -60, 180],
  /** How near to edge-on a sweep of the camera comes, radians. */
  hit: 0.004,
  /** Photos asked for at most, and the share of the doubt that the last of them must take off. */
  most: 4,
  gain: 0.1,
} as const;

/**
 * Photos that show crowns, the most helpful first: chosen by what they leave of the crowns' covariance in the axes over the faces, of a die of unknown finish.
 *
 * @param beside  Shots of the list: one way to lay the die is asked for once.
 */
export function grazingShots(shape: DieState, setting: PhotoSetting, beside: readonly PlannedShot[]): GrazingShot[] {
  const list = grazingCandidates(shape, setting).filter(
    ({ shot }) => !beside.some(({ up, front }) => up === shot.up && front === shot.front),
  );
  const chosen: GrazingShot[] = [];
  const sights: FlatSight[] = [];
  let before = crownDoubt(shape, sights);
  while (chosen.length < GRAZING_PLAN.most) {
    const seen = new Map<number, number>();
    const after = ({ sight }: Candidate): number => {
      const known = seen.get(sight.face) ?? crownDoubt(shape, [...sights, sight]);
      seen.set(sight.face, known);
      return known;
    };
    const free = list.filter(({ shot }) => !chosen.some((c) => c.shot.up === shot.up && c.shot.front === shot.front));
    if (free.length === 0) break;
    const best = free.reduce((a, b) =>
      after(b) < after(a) - 1e-9 || (after(b) < after(a) + 1e-9 && easier(b, a)) ? b : a,
    );
    const left = after(best);
    if (left > (1 - GRAZING_PLAN.gain) * before) break;
    chosen.push({ shot: best.shot, before, after: left });
    sights.push(best.sight);
    before = left;
  }
  return chosen;
}

/** Of two photos that tell as much the one that turns the die less, then leans less. */
const easier = ({ shot: p }: Candidate, { shot: q }: Candidate): boolean =>
  Math.abs(p.turn) < Math.abs(q.turn) || (p.turn === q.turn && p.lean < q.lean);

interface Candidate {
  readonly shot: PlannedShot & { readonly grazes: string };
  readonly sight: FlatSight;
}

/** All ways to lay the die and lean the camera in which a face is seen edge-on. */
function grazingCandidates(shape: DieState, setting: PhotoSetting): Candidate[] {
  const { solid } = shape;
  const { corners } = landsOf(solid, bodyOf(shape));
  const bow = (FLATNESS.hidden * FLATNESS.px * setting.distance) / setting.focal;
  return solid.labels.flatMap((up) =>
    frontsOf(solid, up).flatMap((front) =>
      GRAZING_PLAN.turns.map(radians).flatMap((turn) => {
        const upright = uprightTurn(solid, { up, front });
        const onCard = cardFromBody(upright, { x: 0, y: 0, yaw: turn }, shape.distances[baseFace(solid, up)]!);
        const at = (lean: number): number[] => {
          const { cameraFromCard } = plannedPhoto({ up, front, lean, turn }, setting);
          return elevationsFrom(shape, composed(cameraFromCard, onCard));
        };
        return crossings(at).map(({ face, lean }): Candidate => {
          const ring = corners[face]!;
          const half = ring.length < 3 ? 0 : norm(byAxis((k) => (ring[0]![k]! + ring[1]![k]!) / 2));
          const u = hiddenCrown(bow, GRAZING_PLAN.hit * half);
          return { shot: { up, front, lean, turn, grazes: solid.labels[face]! }, sight: { face, u } };
        });
      }),
    ),
  );
}

/** Leans at which a face passes through edge-on. */
function crossings(at: (lean: number) => number[]): { face: number; lean: number }[] {
  const [from, to] = GRAZING_PLAN.lean.map(radians) as [number, number];
  const step = radians(GRAZING_PLAN.step);
  const found: { face: number; lean: number }[] = [];
  let before = at(from);
  for (let lean = from + step; lean <= to; lean += step) {
    const now = at(lean);
    for (let face = 0; face < now.length; face++)
      if (before[face]! * now[face]! < 0) found.push({ face, lean: crossing(at, face, lean - step, lean) });
    before = now;
  }
  return found;
}

/** By secants: over so short a way an elevation is nearly straight. */
function crossing(at: (lean: number) => number[], face: number, from: number, to: number): number {
  let [a, b] = [from, to];
  let [fa, fb] = [at(a)[face]!, at(b)[face]!];
  for (let k = 0; k < 3 && fb !== fa; k++) {
    const next = b - (fb * (b - a)) / (fb - fa);
    [a, fa] = [b, fb];
    [b, fb] = [next, at(next)[face]!];
  }
  return b;
}

/** Mean U95 of the axes over the faces by their crowns alone, mm. */
function crownDoubt({ solid }: DieState, sights: readonly FlatSight[]): number {
  const n = solid.labels.length;
  const { covariance: c } = believedCrowns(FINISH_PRIOR.unknown, n, sights);
  const us = solid.labels.map((_, f) => {
    const o = solid.opposite[f]!;
    return Math.sqrt(o < 0 ? c[f * n + f]! : c[f * n + f]! + c[o * n + o]! + 2 * c[f * n + o]!);
  });
  return (2 * us.reduce((s, u) => s + u, 0)) / n;
}
