import { vec3At, type Vec3 } from '../../geometry/vec.ts';
import type { Mm } from '../../units.ts';
import { solidFor, type DieShape } from './die-shape.ts';
import { faceFrame, type FaceFrame } from './face-frame.ts';

/** Largest radius of the ball that stands for a point of a crown or for a mark, mm. */
const POINT = 1;
/**
 * Turn of the surface between two rings of a crown's points, rad. A perfect cap would roll over a rigid table without any loss, which
 * no finished face does: its facets knock. Between no ring and many the effect on a d6 of 0.05 to 0.2 mm changes by 1.5 to 3.
 */
const FACET_TURN = 0.02;

/**
 * What stands proud of the faces, as balls of the hull ([x, y, z, r] each): the mark as one; a crown as its top and, where it is steep
 * enough, rings of points between top and rim.
 */
export function proudBalls(shape: DieShape): number[] {
  const out = (shape.crowns ?? []).flatMap((crown, f) => (crown > 0 ? crownBalls(shape, f, crown) : []));
  const { mark } = shape;
  if (!mark || mark.height <= 0) return out;
  const cap = (mark.width ** 2 / 4 + mark.height ** 2) / (2 * mark.height);
  return [...out, ...ball(shape, mark.face, faceFrame(shape, mark.face), mark.at, mark.height, Math.min(cap, POINT))];
}

function crownBalls(shape: DieShape, f: number, crown: Mm): number[] {
  const frame = faceFrame(shape, f);
  const corners = solidFor(shape).corners.filter((c) => c.faces.includes(f)).length;
  const rings = Math.floor((2 * crown) / frame.innerRadius / FACET_TURN);
  const out = ball(shape, f, frame, [0, 0], crown, POINT);
  for (let ring = 1; ring <= rings; ring++) {
    const share = ring / (rings + 1);
    const points = corners * ring;
    for (let i = 0; i < points; i++) {
      const angle = (2 * Math.PI * i) / points;
      const at = share * frame.innerRadius;
      out.push(
        ...ball(shape, f, frame, [at * Math.cos(angle), at * Math.sin(angle)], crown * (1 - share * share), POINT),
      );
    }
  }
  return out;
}

/** A ball whose top stands `height` over face `f` at the place (x, y) of its frame. */
function ball(
  shape: DieShape,
  f: number,
  { centre, x, y }: FaceFrame,
  [a, b]: readonly [Mm, Mm],
  height: Mm,
  radius: Mm,
): number[] {
  const n: Vec3 = vec3At(solidFor(shape).normals, f);
  return [...[0, 1, 2].map((k) => centre[k] + a * x[k] + b * y[k] + (height - radius) * n[k]), radius];
}
