/** Derivatives that a row has room for, the used ones first. */
export const WIDTH: usize = 14;
export const INDEX_ROW: usize = 4 * WIDTH;
export const VALUE_ROW: usize = 8 * WIDTH;

/**
 * Of each pair of a row's derivatives, in the order in which they are added: where its sum stands, bytes from the matrix on (4, and 4 unused), and
 * how often it counts (8).
 */
export const PAIRS: usize = 1024;
export const PAIR: usize = 16;

/** Bytes of a viewing ray and its change over one px. */
export const RAY: usize = 48;
/** Sum of all balls' places; then their places and radii, camera frame, of so many at most. */
export const SUM: usize = 4096;
export const MOST_BALLS: usize = 1024;
export const BALLS_X: usize = SUM + 32;
export const BALLS_Y: usize = BALLS_X + 8 * MOST_BALLS;
export const BALLS_Z: usize = BALLS_Y + 8 * MOST_BALLS;
export const RADII: usize = BALLS_Z + 8 * MOST_BALLS;

/** From here on the caller lays out what has no fixed size. */
export const ROOM: usize = RADII + 8 * MOST_BALLS;
