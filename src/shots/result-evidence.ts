import type { DieState } from '../fit/die-state.ts';
import { evidenceOf, type Evidence } from './photo-evidence.ts';
import { USUAL_NOISE } from './information.ts';
import type { Camera } from '../geometry/camera.ts';
import type { Numbering } from '../geometry/numbering.ts';
import { dieSolid } from '../geometry/solid.ts';
import { radians } from '../units.ts';
import type { MeasureResult, PhotoOutline } from '../formats/result.ts';

/** What a result's photos say of its axes, beside the die as it was measured. */
export interface ResultEvidence extends Evidence {
  readonly shape: DieState;
}

/** The die of a result, faces and corners in the order of its solid. @throws {RangeError} Where the result names others. */
export function resultShape(result: MeasureResult, numbering: Numbering | null, apex?: number): DieState {
  const solid = dieSolid(result.die.kind, numbering ?? undefined, apex);
  const named = <T extends { readonly name: string }>(list: readonly T[], name: string): T => {
    const one = list.find((l) => l.name === name);
    if (one === undefined) throw new RangeError(`no "${name}" in the result`);
    return one;
  };
  return {
    solid,
    distances: Float64Array.from(solid.labels, (label) => named(result.faces, label).distance),
    radii: Float64Array.from(solid.corners, ({ name }) => named(result.corners, name).radius),
    stands: [],
  };
}

/** Which photos of a result speak for which axis; photos in the result's order. */
export function resultEvidence(result: MeasureResult, numbering: Numbering | null, apex?: number): ResultEvidence {
  const shape = resultShape(result, numbering, apex);
  const used = result.photos.filter((p) => p.outline !== null && p.lean !== null && p.scale !== null);
  const own = evidenceOf(
    shape,
    used.map(({ up, front, lean, scale, outline }) => ({
      shot: { up, front },
      camera: uprightCamera(result.camera, outline!),
      lean: radians(lean!),
      scale: scale!,
      model: outline!.model,
      points: outline!.points,
      normals: outline!.normals,
      sigmas: outline!.sigmas,
    })),
    USUAL_NOISE.tau,
  );
  const place = result.photos.map((p) => used.indexOf(p));
  return {
    shape,
    axes: own.axes,
    shares: place.map((i) => (i < 0 ? null : own.shares[i]!)),
    bearing: place.map((i) => (i < 0 ? null : own.bearing[i]!)),
  };
}

/** The camera of an upright photo; where it was turned, its principal point is taken for the middle, from which it is a few px. */
function uprightCamera(c: MeasureResult['camera'], { width, height }: PhotoOutline): Camera {
  const { f, k1, k2 } = c;
  if (width === c.width && height === c.height) return { f, cx: c.cx, cy: c.cy, k1, k2 };
  return { f, cx: (width - 1) / 2, cy: (height - 1) / 2, k1, k2 };
}
