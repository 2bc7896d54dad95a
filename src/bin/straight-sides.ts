import { median } from '../maths/linear.ts';
import { outlineFit, type DieOutline } from './fit/outline-fit.ts';
import { CLOSE_LOOK, pickedEdges, type BinEdges } from './vision/edges.ts';
import type { Thing } from './vision/thing.ts';
import { trace, TRACE, type Seen, type Traced } from './trace.ts';

export const STRAIGHT = {
  /** Fewest points of a side whose direction tells something, and the share of it left out at each end, where corners begin. */
  points: 7,
  ends: 0.15,
  /**
   * A side that runs off its direction by more than this is none of the die's: share of its length, and at least px, from end to end, and
   * times the scatter of its points. A camera that one photo knows badly and a die far out of round tilt true sides by 1 % together.
   */
  tilt: 0.02,
  tiltPx: 1.5,
  scatter: 4,
  /** Share of an outline that must be left for telling which sides are right. */
  left: 0.35,
  /** Share of the first departure that an outline read anew may have. */
  better: 0.5,
} as const;

/**
 * Sides (by stretch) along which what was taken for the outline does not run as the die's edges do.
 *
 * However far its faces stray, an edge keeps its direction: a face that stands proud moves it parallel. What runs otherwise is another
 * edge: that between two faces where the outer one mirrors the stage and hardly differs from it, a border of the card, of a shadow.
 */
export function tiltedSides(edges: BinEdges, { fit, shares, good }: DieOutline): Set<number> {
  const sides = new Map<number, number[]>();
  for (let k = 0; k < good.length; k++)
    if (shares.onEdge[k]) sides.set(shares.stretch[k]!, [...(sides.get(shares.stretch[k]!) ?? []), k]);
  const out = new Set<number>();
  for (const [stretch, points] of sides) {
    if (points.length < STRAIGHT.points) continue;
    const first = points[0]!;
    const way = (k: number): number =>
      Math.hypot(edges.xy[2 * k]! - edges.xy[2 * first]!, edges.xy[2 * k + 1]! - edges.xy[2 * first + 1]!);
    const along = points.map((k) => ({ at: way(k), off: fit.rows.residual[k]! })).sort((a, b) => a.at - b.at);
    const cut = Math.floor(STRAIGHT.ends * along.length);
    const { slope, scatter } = lineOf(along.slice(cut, along.length - cut));
    const length = along[along.length - 1]!.at - along[0]!.at;
    const most = Math.max(STRAIGHT.tilt * length, STRAIGHT.tiltPx, STRAIGHT.scatter * scatter);
    if (Math.abs(slope) * length > most) out.add(stretch);
  }
  return out;
}

/** The median of the slopes between points half a side apart (after Theil 1950), and the median distance from that line over a normal's. */
function lineOf(points: readonly { readonly at: number; readonly off: number }[]): { slope: number; scatter: number } {
  const half = points.length >> 1;
  const slope = median(
    points.slice(half).map((q, i) => (q.off - points[i]!.off) / Math.max(1e-9, q.at - points[i]!.at)),
  );
  const rest = points.map((p) => p.off - slope * p.at);
  const middle = median(rest);
  return { slope, scatter: 1.4826 * median(rest.map((r) => Math.abs(r - middle))) };
}

/**
 * An outline again without sides that are none of the die's; these are looked for where the others say that they must lie.
 *
 * Where that finds nothing better the first outline stands, and its departure is doubted by as much as those sides make of it.
 */
export function straightened(seen: Seen, thing: Thing, owner: Thing, first: Traced): Traced {
  const tilted = tiltedSides(first.edges, first.found);
  if (tilted.size === 0) return first;
  const others = without(seen, first, tilted);
  if (!others || others.share < STRAIGHT.left) return first;
  const again = trace(seen, thing, owner, others.found.fit.pose, others.found, CLOSE_LOOK.reach, CLOSE_LOOK);
  if (again) {
    const still = tiltedSides(again.edges, again.found);
    const best = still.size === 0 ? again : without(seen, again, still);
    if (best && best.found.departure < STRAIGHT.better * first.found.departure) return best;
  }
  const { departure, departureU } = first.found;
  const doubt = Math.hypot(departureU, departure - others.found.departure);
  return { ...first, found: { ...first.found, departureU: doubt } };
}

/** The fit to the points of all other sides. */
function without({ view, shape }: Seen, { edges, found, total }: Traced, sides: ReadonlySet<number>): Traced | null {
  const kept: number[] = [];
  found.good.forEach((good, k) => {
    if (good && !sides.has(found.shares.stretch[k]!)) kept.push(k);
  });
  if (kept.length < TRACE.points) return null;
  const left = pickedEdges(edges, kept);
  const fit = outlineFit(shape, view, left, found.fit.pose);
  return fit && { edges: left, found: fit, total, share: fit.good.reduce((s, v) => s + v, 0) / total };
}
