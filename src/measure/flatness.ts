import { contactFinder, newContact } from '../geometry/hull.ts';
import { turned, viewingRay } from '../geometry/camera.ts';
import { byAxis, dot, norm, vec3At, type Vec3 } from '../geometry/vec.ts';
import { GRAZING } from '../geometry/rim.ts';
import type { FlatSight } from '../fit/crown-prior.ts';
import { elevations, GRAZED } from '../fit/grazed.ts';
import { photoRows } from '../fit/photo-rows.ts';
import { bodyOf, seenIn } from '../fit/die-state.ts';
import { landsOf } from '../geometry/crown.ts';
import type { Measured } from './measured.ts';

/**
 * What a face that was seen edge-on and shows no crown says of it. The outline of such a stretch is known to `px`, and of a crown that stands
 * out of the rim a part alone is seen, since what it mirrors is nearly as bright as the stage: so a bow may hide that is `hidden` times as high.
 */
export const FLATNESS = {
  px: 0.2,
  hidden: 2,
  /** Points of an outline that make a stretch. */
  points: 15,
  /** A stretch further than this from where a flat face has it belongs to no flat face, mm. */
  off: 0.012,
  /** A face that might hide a crown higher than this says nothing, mm. */
  most: 0.06,
} as const;

/**
 * Faces that photos saw edge-on, of a die that was measured as flat, each with how high a crown might hide; none where any of these stretches
 * lies where no flat face would have it, for then nothing is known of crowns but that flat is wrong, or the light there is.
 */
export function flatSights(m: Measured): FlatSight[] {
  const { state, solid } = m;
  const { corners } = landsOf(solid, bodyOf(state));
  const found: FlatSight[] = [];
  for (const [i, photo] of m.photos.entries()) {
    const over = elevations(state, photo, i);
    if (!over.some((e) => Math.abs(e) < GRAZED)) continue;
    for (const [face, { offset, scale }] of stretchesOn(m, i)) {
      const elevation = Math.abs(over[face]!);
      if (!(elevation < GRAZED)) continue;
      const ring = corners[face]!;
      if (ring.length < 3) continue;
      // Half the land across: from its middle to the middle of a side.
      const half = norm(byAxis((k) => (ring[0]![k] + ring[1]![k]) / 2));
      const u = hiddenCrown(FLATNESS.hidden * FLATNESS.px * scale, elevation * half);
      if (u > FLATNESS.most) continue;
      if (Math.abs(offset) > FLATNESS.off) return [];
      found.push({ face, u });
    }
  }
  return found;
}

/**
 * The crown that stands out by `bow` at an angle under which its land is `fall` lower on one side than in its middle: b (1 - fall / 2b)^2 = bow.
 */
export const hiddenCrown = (bow: number, fall: number): number =>
  (fall + bow + Math.sqrt(bow * bow + 2 * fall * bow)) / 2;

/** The face whose normal a direction nearly is; -1 for none. */
function grazedBy(normals: readonly Vec3[], direction: Vec3): number {
  for (let f = 0; f < normals.length; f++) if (dot(normals[f]!, direction) > Math.cos(GRAZING)) return f;
  return -1;
}

/** Mean residual, mm, and mm a px of the outline's stretches by the face that they graze. */
function stretchesOn(m: Measured, i: number): Map<number, { offset: number; scale: number }> {
  const { state, solid, photos, rounds } = m;
  const { camera } = photos[i]!;
  const { outline } = rounds[i]!;
  const die = seenIn(state, photos[i]!, i);
  const rows = photoRows(state, photos[i]!, i, outline, false, false);
  const normals = solid.labels.map((_, f) => turned(die.cameraFromBody.rotation, vec3At(solid.normals, f)));
  const find = contactFinder(die);
  const at = newContact();
  const sums = new Map<number, { offset: number; scale: number; count: number }>();
  for (let k = 0; k < rows.count; k++) {
    const ray = viewingRay(camera, outline.xy[2 * k]!, outline.xy[2 * k + 1]!);
    find(ray[0], ray[1], ray[2], at);
    const face = grazedBy(normals, [at.ux, at.uy, at.uz]);
    if (face < 0) continue;
    const sum = sums.get(face) ?? { offset: 0, scale: 0, count: 0 };
    sum.offset += rows.residual[k]! * rows.scale[k]!;
    sum.scale += rows.scale[k]!;
    sum.count++;
    sums.set(face, sum);
  }
  return new Map(
    [...sums].flatMap(([face, { offset, scale, count }]) =>
      count < FLATNESS.points ? [] : [[face, { offset: offset / count, scale: scale / count }] as const],
    ),
  );
}
