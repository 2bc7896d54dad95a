/** Why a descent ended: a step gained too little to go on, the steps ran out, or no step damped however much went down. */
export type Stop = 'converged' | 'steps' | 'stuck';

/** What is descended: a cost, half a sum of squares, with steps that its own normal equations give. */
export interface Slope<Place extends { readonly cost: number }> {
  /** Where the step from a place leads that is damped so much; null where its system is singular. Only the cost need be known there. */
  tried(from: Place, damping: number): Place | null;
  /** The same place with all that the next step needs; what was left out for a cost alone. */
  entered?(place: Place): Place;
  /** Whether to end after a try: `gain` is what the cost fell by, null where it did not fall. */
  ends(place: Place, gain: number | null): boolean;
}

/** How the damping follows what came of a step. */
export interface Damping {
  readonly start: number;
  /** Beyond this no step will go down. */
  readonly most: number;
  taken(damping: number, gain: number): number;
  refused(damping: number): number;
}

/** Damping divided by `easier` after a step that went down, not below `least`, and multiplied by `harder` after one that did not. */
export const byFactors = (start: number, easier: number, harder: number, least: number, most: number): Damping => ({
  start,
  most,
  taken: (damping) => Math.max(least, damping / easier),
  refused: (damping) => damping * harder,
});

/** Where a descent ended, why, and after how many tries, taken or not. */
export interface Descended<Place> {
  readonly place: Place;
  readonly stop: Stop;
  readonly steps: number;
}

/**
 * Damped steps downwards from `start`, after Levenberg (1944) and Marquardt (1963): only what lowers the cost is taken, what does not is tried
 * again with more damping. The one loop of all fits; what a place is, what its normal equations weigh, and when it ends, each says itself.
 *
 * @param most  Tries at most, taken or not.
 */
export function descended<Place extends { readonly cost: number }>(
  start: Place,
  slope: Slope<Place>,
  damping: Damping,
  most: number,
): Descended<Place> {
  let place = start;
  let damped = damping.start;
  for (let steps = 1; steps <= most; steps++) {
    const next = slope.tried(place, damped);
    const down = next !== null && next.cost < place.cost;
    const gain = down ? place.cost - next.cost : null;
    if (down) place = slope.entered?.(next) ?? next;
    damped = gain === null ? damping.refused(damped) : damping.taken(damped, gain);
    if (slope.ends(place, gain)) return { place, stop: 'converged', steps };
    if (!(damped <= damping.most)) return { place, stop: 'stuck', steps };
  }
  return { place, stop: 'steps', steps: most };
}
