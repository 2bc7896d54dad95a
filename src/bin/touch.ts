import { seenPose, type TruePose } from '../fit/pose.ts';
import type { PoseShape } from '../fit/pose-search.ts';
import type { MeasuredDie, OtherThing } from './die.ts';

/** Dice nearer than this touch, mm: what one photo tells of a gap. */
const GAP = 0.4;
/** Directions in which a gap between two dice is looked for: so many across, and elevations, radians from the line of their middles. */
const ACROSS = 13;
const SPREAD = 0.9;
const HEIGHTS = [-0.5, -0.25, 0, 0.25, 0.5];

/** Says of dice that touch that they do. */
export function touched(things: readonly (MeasuredDie | OtherThing)[], shape: PoseShape): (MeasuredDie | OtherThing)[] {
  const dice = things.filter((t) => t.code === 'die');
  return things.map((t) => {
    if (t.code !== 'die') return t;
    const near = dice.some((o) => o !== t && gapBetween(shape, t.pose, o.pose) < GAP);
    return near && !t.reasons.some((r) => r.code === 'touching')
      ? { ...t, reasons: [...t.reasons, { code: 'touching' }] }
      : t;
  });
}

/** Widest gap between two true dice over directions near the line of their middles, mm; negative where they would overlap. */
export function gapBetween(shape: PoseShape, a: TruePose, b: TruePose): number {
  const far = Math.hypot(b.x - a.x, b.y - a.y);
  const reach = Math.max(a.size, b.size) * 2 * Math.sqrt(3);
  if (far > 2 * reach) return far;
  const middle = Math.atan2(b.y - a.y, b.x - a.x);
  const [pa, pb] = [corners(shape, a), corners(shape, b)];
  let best = -Infinity;
  for (let i = 0; i < ACROSS; i++) {
    const t = middle + SPREAD * ((2 * i) / (ACROSS - 1) - 1);
    for (const e of HEIGHTS) {
      const [ux, uy, uz] = [Math.cos(t) * Math.cos(e), Math.sin(t) * Math.cos(e), Math.sin(e)];
      let [most, least] = [-Infinity, Infinity];
      for (let k = 0; k < pa.length; k += 3) most = Math.max(most, ux * pa[k]! + uy * pa[k + 1]! + uz * pa[k + 2]!);
      for (let k = 0; k < pb.length; k += 3) least = Math.min(least, ux * pb[k]! + uy * pb[k + 1]! + uz * pb[k + 2]!);
      best = Math.max(best, least - b.radius - most - a.radius);
    }
  }
  return best;
}

const CARD_ITSELF = { rotation: Float64Array.of(1, 0, 0, 0, 1, 0, 0, 0, 1), shift: [0, 0, 0] } as const;

/** Middles of the corners' balls, card frame. */
const corners = ({ vertices }: PoseShape, pose: TruePose): Float64Array =>
  seenPose(vertices, { camera: { f: 1, cx: 0, cy: 0, k1: 0, k2: 0 }, cameraFromCard: CARD_ITSELF }, pose).centres;
