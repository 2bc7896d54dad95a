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

/** From here on the caller lays out what has no fixed size. */
export const ROOM: usize = 4096;
