import { median } from '../maths/linear.ts';
import { outlineFit, type DieOutline } from './fit/outline-fit.ts';
import { CLOSE_LOOK, type BinEdges } from './vision/edges.ts';
import type { Thing } from './vision/thing.ts';
import { trace, TRACE, type Seen, type Traced } from './trace.ts';

export const STRAIGHT = {
  /** Fewest points of a side whose direction tells something, and the share of it left out at each end, where corners begin. */
  points: 7,
  ends: 0.15,
  /** A side that runs this much off its direction from end to end is none of the die's: px, and times the scatter of its points. */
  tilt: 1.2,
  scatter: 4,
  /** Share of an outline that must be left for telling which sides are right. */
  left: 0.35,
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
    const way = (k: number): number => Math.hypot(edges.xy[2 * k]! - edges.xy[2 * first]!, edges.xy[2 * k + 1]! - edges.xy[2 * first + 1]!); // prettier-ignore
    const along = points.map((k) => ({ at: way(k), off: fit.rows.residual[k]! })).sort((a, b) => a.at - b.at);
    const cut = Math.floor(STRAIGHT.ends * along.length);
    const { slope, scatter } = lineOf(along.slice(cut, along.length - cut));
    const length = along[along.length - 1]!.at - along[0]!.at;
    if (Math.abs(slope) * length > Math.max(STRAIGHT.tilt, STRAIGHT.scatter * scatter)) out.add(stretch);
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

/** An outline again without sides that are none of the die's; these are looked for where the others say that they must lie. */
export function straightened(seen: Seen, thing: Thing, owner: Thing, first: Traced): Traced {
  const tilted = tiltedSides(first.edges, first.found);
  if (tilted.size === 0) return first;
  const others = without(seen, first, tilted);
  if (!others || others.share < STRAIGHT.left) return first;
  const again = trace(seen, thing, owner, others.found.fit.pose, others.found, CLOSE_LOOK.reach, CLOSE_LOOK);
  if (!again) return others;
  const still = tiltedSides(again.edges, again.found);
  return (still.size === 0 ? again : without(seen, again, still)) ?? others;
}

/** The fit to the points of all other sides. */
function without({ view, shape }: Seen, { edges, found, total }: Traced, sides: ReadonlySet<number>): Traced | null {
  const kept: number[] = [];
  found.good.forEach((good, k) => {
    if (good && !sides.has(found.shares.stretch[k]!)) kept.push(k);
  });
  if (kept.length < TRACE.points) return null;
  const pairs = (xy: Float64Array): Float64Array =>
    Float64Array.from(kept.flatMap((k) => [xy[2 * k]!, xy[2 * k + 1]!]));
  const left: BinEdges = {
    ...edges,
    xy: pairs(edges.xy),
    normal: pairs(edges.normal),
    sigma: Float64Array.from(kept, (k) => edges.sigma[k]!),
  };
  const fit = outlineFit(shape, view, left, found.fit.pose);
  return fit && { edges: left, found: fit, total, share: fit.good.reduce((s, v) => s + v, 0) / total };
}
