import { CARD, CARD_MARKERS, isBlack } from '../geometry/card.ts';
import { median } from '../maths/linear.ts';

/** What the card's design shows at a place: its black, its white, or the blank stage. */
export type Printed = 'black' | 'white' | 'stage';

const MODULE = CARD.marker / 6;

/** The marker whose square holds a place, by column and row of the ring. */
const MARKER_AT = new Map(
  CARD_MARKERS.map((marker) => {
    const column = Math.floor((marker.corners[0]! + CARD.width / 2) / CARD.square);
    const row = Math.floor((CARD.height / 2 - marker.corners[1]!) / CARD.square);
    return [row * CARD.columns + column, marker];
  }),
);

/** Share of the step from black to white by which a stage may differ from one of them and be taken for it. */
const ALIKE = 0.15;
/** How far to either side of the stage's border it is compared with the ring, mm. */
const BESIDE_BORDER = 0.4;

/**
 * Whether the stage looks like the ring's white, like its black, or like neither, so that its border shows all along.
 *
 * Compared across the stage's upper and lower border; a bank card that covers one of them leaves the other free.
 *
 * @param light  Light at a place of the card, mm as designed; null outside the picture.
 */
export function stageLike(light: (x: number, y: number) => number | null): Printed {
  const looks = [-1, 1].map((side) => {
    const steps: Record<'white' | 'black', number[]> = { white: [], black: [] };
    const values: Record<'white' | 'black', number[]> = { white: [], black: [] };
    for (let column = 3; column < CARD.columns - 3; column++) {
      const x = (column + 0.5) * CARD.square - CARD.width / 2;
      const y = side * (CARD.stageHeight / 2 + BESIDE_BORDER);
      const [ring, stage] = [light(x, y), light(x, y - 2 * side * BESIDE_BORDER)];
      const colour = printedAt(x, y, 'stage');
      if (ring === null || stage === null || colour === 'stage') continue;
      values[colour].push(ring);
      steps[colour].push(Math.abs(stage - ring));
    }
    if (values.white.length === 0 || values.black.length === 0) return { white: Infinity, black: Infinity };
    const whole = median(values.white) - median(values.black);
    return { white: median(steps.white) / whole, black: median(steps.black) / whole };
  });
  for (const colour of ['white', 'black'] as const) if (looks.some((look) => look[colour] < ALIKE)) return colour;
  return 'stage';
}

/** What is printed at a place of the card frame, mm as designed; white beyond the ring, `stage` on the stage. */
export function printedAt(x: number, y: number, stage: Printed): Printed {
  if (Math.abs(x) < CARD.stageWidth / 2 && Math.abs(y) < CARD.stageHeight / 2) return stage;
  const column = Math.floor((x + CARD.width / 2) / CARD.square);
  const row = Math.floor((CARD.height / 2 - y) / CARD.square);
  if (column < 0 || row < 0 || column >= CARD.columns || row >= CARD.rows) return 'white';
  if (isBlack(column, row)) return 'black';
  const marker = MARKER_AT.get(row * CARD.columns + column);
  if (marker === undefined) return 'white';
  const across = Math.floor((x - marker.corners[0]!) / MODULE);
  const down = Math.floor((marker.corners[1]! - y) / MODULE);
  if (across < 0 || down < 0 || across > 5 || down > 5) return 'white';
  const inside = across > 0 && down > 0 && across < 5 && down < 5;
  return inside && ((marker.bits >> (15 - 4 * (down - 1) - (across - 1))) & 1) === 1 ? 'white' : 'black';
}
