import { turnedBack, viewingRay, type Camera, type Rigid } from '../../geometry/camera.ts';
import { CARD, CARD_MARKERS, isBlack } from '../../geometry/card.ts';

/** What the card shows at a place: 0 white (stage, white square, margin), 1 black, 2 the stage. */
type Ground = 0 | 1 | 2;

const markerAt = new Map(
  CARD_MARKERS.map((m) => [
    `${Math.floor((m.corners[0]! + CARD.width / 2) / CARD.square)},${Math.floor((CARD.height / 2 - m.corners[1]!) / CARD.square)}`,
    m,
  ]),
);

/** What is printed at a point of the card, mm, card frame. */
function groundAt(x: number, y: number): Ground {
  if (Math.abs(x) < CARD.stageWidth / 2 && Math.abs(y) < CARD.stageHeight / 2) return 2;
  const column = Math.floor((x + CARD.width / 2) / CARD.square);
  const row = Math.floor((CARD.height / 2 - y) / CARD.square);
  if (column < 0 || row < 0 || column >= CARD.columns || row >= CARD.rows) return 0;
  if (isBlack(column, row)) return 1;
  const marker = markerAt.get(`${column},${row}`);
  if (!marker) return 0;
  const u = Math.floor((6 * (x - marker.corners[0]!)) / CARD.marker);
  const v = Math.floor((6 * (marker.corners[1]! - y)) / CARD.marker);
  if (u < 0 || v < 0 || u > 5 || v > 5) return 0;
  if (u === 0 || v === 0 || u === 5 || v === 5) return 1;
  return (marker.bits >> (15 - (4 * (v - 1) + u - 1))) & 1 ? 0 : 1;
}

export const PLAIN = {
  /** What is looked at outside an outline's point: so far out and to either side, px. */
  out: 9,
  aside: 4,
  /** An edge found so near to where the print changes is the print's, px. */
  border: 2,
  /** As many times as far from the stage's border a point is in its midst, however far the camera leans. */
  midst: 3,
} as const;

/**
 * Whether the card shows one and the same ground just outside a point of an outline.
 *
 * @param nu    The outline's normal (`nu`, `nv`) points outwards, px of the picture.
 * @param into  Ground is looked at from so far inside, px: of an edge that was found, which must not be one of the print's.
 */
export function plainOutside(
  camera: Camera,
  cameraFromCard: Rigid,
  u: number,
  v: number,
  nu: number,
  nv: number,
  into = 0,
): boolean {
  const { rotation, shift } = cameraFromCard;
  const eye = turnedBack(rotation, [-shift[0], -shift[1], -shift[2]]);
  const place = (a: number, b: number): readonly [x: number, y: number, far: number] => {
    const ray = turnedBack(rotation, viewingRay(camera, u + a * nu - b * nv, v + a * nv + b * nu));
    const t = -eye[2] / ray[2];
    return [eye[0] + t * ray[0], eye[1] + t * ray[1], t];
  };
  const [x, y, far] = place(0, 0);
  // Most lie in the midst of the stage, and need no further look.
  const reach = (PLAIN.midst * PLAIN.out * far) / camera.f;
  if (Math.abs(x) + reach < CARD.stageWidth / 2 && Math.abs(y) + reach < CARD.stageHeight / 2) return true;
  const first = groundAt(x, y);
  const same = (a: number, b: number): boolean => {
    const [p, q] = place(a, b);
    return groundAt(p, q) === first;
  };
  if (into > 0 && !same(-into, 0)) return false;
  for (const a of [0, PLAIN.out]) for (const b of [-PLAIN.aside, PLAIN.aside]) if (!same(a, b)) return false;
  return same(PLAIN.out / 2, 0);
}
