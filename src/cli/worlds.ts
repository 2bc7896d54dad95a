import { HAND, type Hand, type Table } from '../bias/throws/tables.ts';
import type { Random } from '../maths/random.ts';

/** Hands from a gentle drop to a hard throw (modelling choices). */
export const HANDS: readonly Hand[] = [
  HAND,
  { height: [40, 80], along: [200, 100], up: [0, 100], spin: 8 },
  { height: [150, 300], along: [1600, 500], up: [0, 600], spin: 30 },
];

/** A table and a hand as they may be met: restitution 0.3 to 0.8, friction 0.1 to 0.6, tangential restitution -0.3 to 0.3. */
export function drawnWorld(random: Random): { readonly table: Table; readonly hand: Hand } {
  const between = (low: number, high: number): number => low + (high - low) * random();
  return {
    table: { e: between(0.3, 0.8), mu: between(0.1, 0.6), fade: between(10, 60), et: between(-0.3, 0.3) },
    hand: HANDS[Math.floor(HANDS.length * random())],
  };
}
