import { CROWN_SUMS, type EdgeSet } from '../vision/edge-set.ts';
import type { SliverGlare } from '../vision/sliver-sheen.ts';
import { GLARE_BELIEF } from './rounds.ts';

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
  const sums = new Map<number, { pull: number; weight: number }>();
  for (let k = 0; k < e.count; k++) {
    const face = e.crowns.face[k]!;
    if (face < 0 || !Number.isFinite(e.sigma[k]!)) continue;
    if (over[face]! < FROM_FRONT.least || over[face]! > FROM_FRONT.most) continue;
    const sum = sums.get(face) ?? { pull: 0, weight: 0 };
    sum.weight += e.crowns.sums[CROWN_SUMS * k + 2]!;
    sum.pull += e.crowns.sums[CROWN_SUMS * k + 4]!;
    sums.set(face, sum);
  }
  return [...sums].flatMap(([face, { pull, weight }]) =>
    weight < 1
      ? []
      : [{ share: (glare?.[face] ?? 0) + pull / weight, u: Math.hypot(GLARE_BELIEF, 1 / Math.sqrt(weight)) }],
  );
}
