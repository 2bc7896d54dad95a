import { turnedNormals, type DieSolid } from '../geometry/solid.ts';
import type { Vec3 } from '../geometry/vec.ts';
import type { FoundPose } from '../fit/pose-search.ts';
import { cardFromTrueDie } from './die-pose.ts';
import type { TurnTable } from './turn-table.ts';

/** A face whose normal's upward part is less than this looks down: it is no front (common practice; a d6's sides are level, a d10's too). */
const LOOKS_DOWN = -0.05;
/** Turns that differ by less are as good a front, radians. */
const ALIKE = 0.17;

/** Where the slots of a pose look: outward normals, card frame, x right, y away from the card's lower edge, z up. */
export type SlotNormals = readonly Vec3[];

export function slotNormals(solid: DieSolid, pose: FoundPose): SlotNormals {
  const { rotation } = cardFromTrueDie(solid, pose);
  return turnedNormals(rotation, solid);
}

/** The slot whose number counts as up: the top one; on a d4 the one that it stands on. */
export function upSlot(solid: DieSolid, normals: SlotNormals): number {
  const sign = solid.kind === 'd4' ? -1 : 1;
  let best = 0;
  for (let s = 1; s < normals.length; s++) if (sign * normals[s]![2] > sign * normals[best]![2]) best = s;
  return best;
}

/** Turn about the upward axis by which a slot looks past the card's lower edge, radians; 0 straight towards it. */
export const turnFromFront = (n: Vec3): number => Math.atan2(n[0], -n[1]);

/** The slot that looks to the card's lower edge: of those neither up nor down nor looking down, the one turned least from it. */
export function frontSlot(solid: DieSolid, normals: SlotNormals): number {
  const up = upSlot(solid, normals);
  let best = -1;
  for (let s = 0; s < normals.length; s++) {
    const n = normals[s]!;
    if (s === up || n[2] < LOOKS_DOWN || n[2] > 0.99) continue;
    if (best < 0 || Math.abs(turnFromFront(n)) < Math.abs(turnFromFront(normals[best]!))) best = s;
  }
  return best;
}

/** Up and front as a way tells them, and the yaw that goes with that front. */
export function shotOf(
  solid: DieSolid,
  { face, faces }: TurnTable,
  normals: SlotNormals,
  way: number,
): { readonly up: string; readonly front: string; readonly yaw: number } {
  const front = frontSlot(solid, normals);
  const label = (slot: number): string => solid.labels[face[way * faces + slot]!]!;
  return { up: label(upSlot(solid, normals)), front: label(front), yaw: turnFromFront(normals[front]!) };
}

/** A way in which a given up and front could be meant, and the yaw of that front. */
export interface MeantWay {
  readonly way: number;
  readonly yaw: number;
}

/** The ways that a given up and front can mean: those with that number up whose front is turned least. Empty for numbers the die has not. */
export function meantWays(
  solid: DieSolid,
  { ways, face, faces }: TurnTable,
  normals: SlotNormals,
  given: { readonly up: string; readonly front: string },
): MeantWay[] {
  const slot = upSlot(solid, normals);
  const up = solid.labels.indexOf(given.up);
  const front = solid.labels.indexOf(given.front);
  const found: MeantWay[] = [];
  for (let way = 0; way < ways; way++) {
    if (face[way * faces + slot] !== up) continue;
    const at = normals.findIndex((_, s) => face[way * faces + s] === front);
    if (at >= 0) found.push({ way, yaw: turnFromFront(normals[at]!) });
  }
  const least = Math.min(...found.map((m) => Math.abs(m.yaw)));
  return found.filter((m) => Math.abs(m.yaw) <= least + ALIKE).sort((p, q) => Math.abs(p.yaw) - Math.abs(q.yaw));
}
