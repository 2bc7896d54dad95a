/**
 * Where everything lies in the module's memory, in bytes. What has a fixed place is written here; behind it, from {@link ROOM} on, the caller
 * lays out what has no fixed size.
 */

/** What a function is told in numbers, and what it tells, by its own order. */
export const PARAMETERS: usize = 1024;
export const RESULTS: usize = PARAMETERS + 256;
/** Where the samples of a pixel lie in it: a pair across, a pair down, and so on. */
export const OFFSETS: usize = PARAMETERS + 512;
/** How far a row's samples lie down, and what stands in both lanes alike. */
export const DOWN: usize = OFFSETS + 512;
export const CONSTANTS: usize = DOWN + 512;
/** Light of each value of a channel. */
export const LIGHT: usize = CONSTANTS + 256;

/** Places along a side of a grid. */
export const SIDE: usize = 64;
const PLACES: usize = SIDE * SIDE;
/** Red, green, blue and whether it is on the face (1 or 0), of each place, in single precision; and weighted sums of them. */
export const COLOURS: usize = LIGHT + 2048;
export const COLOURS_END: usize = COLOURS + 16 * PLACES;
export const SUMS: usize = COLOURS_END;
export const BETWEEN: usize = SUMS + 16 * PLACES;
/** How far places are from the mean behind them, squared. */
export const OFF: usize = BETWEEN + 16 * PLACES;
/** Squared distances from skin, in double precision; the sums are not asked for any more by then. */
export const SQUARES: usize = SUMS;
/** One number a place: along the colours' widest spread; whether it is on the face; and in bytes, whether those beside it are too. */
export const VALUE: usize = BETWEEN;
export const MASK: usize = VALUE + 4 * PLACES;
export const WHOLE: usize = MASK + 4 * PLACES;

/** The same of the grid that is looked at; its first number smoothed; and beside the departure from skin. */
export const HELD_VALUE: usize = OFF + 4 * PLACES;
export const HELD_MASK: usize = HELD_VALUE + 4 * PLACES;
export const HELD_WHOLE: usize = HELD_MASK + 4 * PLACES;
export const PAIRS: usize = HELD_WHOLE + PLACES;
export const SMOOTH: usize = PAIRS + 8 * PLACES;

/** Ten terms of the smooth light for each cell of a look, and the sums over them. */
export const TERMS: usize = SMOOTH + 4 * PLACES;
export const MOMENTS: usize = TERMS + 80 * 1024;

/** Where the samples of a grid's or a patch's columns and rows lie. */
export const WAYS: usize = MOMENTS + 80 * 13;
export const ROOM: usize = WAYS + 2 * 32 * 4 * SIDE;
