import type { EdgeSet } from '../vision/edge-set.ts';
import type { SliverGlare } from '../vision/sliver-sheen.ts';
import { GLARE_BELIEF, sumsByFace, tellingSegments } from './rounds.ts';

/**
 * A face seen so far from its front shows a sliver of a px and more, radians; one that is seen further is so wide that the light inside is taken from the
 * sliver itself.
 */
const FROM_FRONT = { least: 0.002, most: 0.009 } as const;

/**
 * What a photo's slivers tell of what the die's surface mirrors at grazing: those of faces seen a little from their front, which are wide enough to show
 * their own light.
 */
export function sliversOf(glare: Float64Array | undefined, e: EdgeSet, over: readonly number[]): SliverGlare[] {
  if (!e.crowns) return [];
  const { face } = e.crowns;
  const { least, most } = FROM_FRONT;
  // Segments that graze no face have no elevation.
  const segments: number[] = [];
  for (const k of tellingSegments(e)) if (over[face[k]!]! >= least && over[face[k]!]! <= most) segments.push(k);
  return [...sumsByFace(e.crowns, segments)].flatMap(([f, sums]) => {
    const [weight, pull] = [sums[2]!, sums[4]!];
    return weight < 1
      ? []
      : [{ share: (glare?.[f] ?? 0) + pull / weight, u: Math.hypot(GLARE_BELIEF, 1 / Math.sqrt(weight)) }];
  });
}
