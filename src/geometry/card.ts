import layout from './card.json' with { type: 'json' };

/** Card frame: origin at the stage's centre, x right, y up as the card is read, z towards the reader, mm as designed. */
export interface CardMarker {
  readonly id: number;
  /** 16 bits row-major from the top left, 1 = white. */
  readonly bits: number;
  /** Corners top left, top right, bottom right, bottom left: [x, y] x 4, mm, card frame. */
  readonly corners: Float64Array;
}

export const CARD = {
  name: layout.name,
  square: layout.square,
  columns: layout.columns,
  rows: layout.rows,
  marker: layout.marker,
  width: layout.columns * layout.square,
  height: layout.rows * layout.square,
  /** The blank stage in the middle, mm. */
  stageWidth: layout.window.width,
  stageHeight: layout.window.height,
  quietMargin: layout.quietMargin,
  checkBar: layout.checkBar,
} as const;

const cardX = (x: number): number => x - CARD.width / 2;
const cardY = (y: number): number => CARD.height / 2 - y;

export const CARD_MARKERS: readonly CardMarker[] = layout.markers.map(({ id, col, row, bits }) => {
  const gap = (CARD.square - CARD.marker) / 2;
  const left = cardX(col * CARD.square + gap);
  const top = cardY(row * CARD.square + gap);
  const right = left + CARD.marker;
  const bottom = top - CARD.marker;
  return { id, bits: parseInt(bits, 2), corners: Float64Array.of(left, top, right, top, right, bottom, left, bottom) };
});

/** Whether the square in this column and row (from the top left) is black; the stage's squares are not part of the ring. */
export const isBlack = (column: number, row: number): boolean => (column + row) % 2 === 0;

/**
 * The points where four squares of the ring meet: [x, y] each, mm, card frame; clockwise is not promised.
 *
 * They stand one square in from the card's border, since the ring is two squares wide.
 */
export const CARD_SADDLES: Float64Array = (() => {
  const out: number[] = [];
  for (let j = 1; j < CARD.rows; j++)
    for (let i = 1; i < CARD.columns; i++)
      if (i === 1 || i === CARD.columns - 1 || j === 1 || j === CARD.rows - 1)
        out.push(cardX(i * CARD.square), cardY(j * CARD.square));
  return Float64Array.from(out);
})();

/** A straight printed border between a black and a white square. */
export interface CardEdge {
  /** Ends, mm, card frame, well inside the square's side. */
  readonly from: readonly [number, number];
  readonly to: readonly [number, number];
  /** Unit normal from black to white. */
  readonly normal: readonly [number, number];
}

/** How much of a square's side is left out at each end, so that corners and markers do not reach into an edge's profile. */
const EDGE_MARGIN = 0.16;

/** Straight black-white borders of the ring: those between the squares of its outer row, where the neighbour holds no marker close by. */
export const CARD_EDGES: readonly CardEdge[] = (() => {
  const out: CardEdge[] = [];
  const q = CARD.square;
  const ring = (i: number, j: number): boolean =>
    i >= 0 &&
    j >= 0 &&
    i < CARD.columns &&
    j < CARD.rows &&
    (i < 2 || j < 2 || i >= CARD.columns - 2 || j >= CARD.rows - 2);
  for (let j = 0; j < CARD.rows; j++)
    for (let i = 0; i < CARD.columns; i++) {
      if (ring(i, j) && ring(i + 1, j)) {
        const s = isBlack(i, j) ? 1 : -1;
        out.push({
          from: [cardX((i + 1) * q), cardY((j + EDGE_MARGIN) * q)],
          to: [cardX((i + 1) * q), cardY((j + 1 - EDGE_MARGIN) * q)],
          normal: [s, 0],
        });
      }
      if (ring(i, j) && ring(i, j + 1)) {
        const s = isBlack(i, j) ? 1 : -1;
        out.push({
          from: [cardX((i + EDGE_MARGIN) * q), cardY((j + 1) * q)],
          to: [cardX((i + 1 - EDGE_MARGIN) * q), cardY((j + 1) * q)],
          normal: [0, -s],
        });
      }
    }
  return out;
})();
