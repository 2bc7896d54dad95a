/**
 * Where everything lies in the module's memory, in bytes; all of it has a fixed place. Written by the caller: {@link PARAMETERS}, tables,
 * {@link RAW}, {@link BEYOND_RAW}, {@link BESIDE}, {@link SHARES}, {@link LOCAL} and {@link BELIEFS}. A grid has room for a lane beyond its last cell.
 */

/** Cells of a profile, and those inside the outline. */
export const CELLS: i32 = 73;
export const INNER: i32 = 36;
/** Bytes of a grid. */
export const GRID: usize = 640;

const START: usize = 1024;
/** Light inside and outside, per channel. */
export const INSIDE: usize = START;
export const OUTSIDE: usize = START + 24;
/** Mirror, rough, limb, strength of the shade. */
export const SURFACE: usize = START + 48;
/** Share of the sky beside the face; amount of sharpening; blur, px; weights of the plane and of luma. */
export const OPEN: usize = START + 80;
export const SHARPENING: usize = START + 88;
export const BLUR: usize = START + 96;
export const PLANE: usize = START + 104;
export const LUMA: usize = START + 128;
/** Variance inside and outside; the segment's five unknowns. */
export const VARIANCES: usize = START + 152;
export const LOCAL: usize = START + 168;
export const PARAMETERS: usize = START;

/** Normal equations of five unknowns and six changes, row-major, of which the lower triangle counts; their right side. */
export const SIZE: i32 = 11;
export const MATRIX: usize = 2048;
export const GRADIENT: usize = MATRIX + 976;

/** The tone curve's table. */
export const TONE_CELLS: i32 = 4096;
export const TONE: usize = 4096;
/** Weights of a blur from the far end: its middle lies {@link MIDDLE} cells in, and beyond its reach it is 0. */
export const KERNEL: usize = TONE + 32832;
export const MIDDLE: i32 = 76;
/** Halves of two smoothings, from the middle on: the sharpening's and the colour's. */
export const SHARP: usize = KERNEL + 1280;
export const COLOUR_SOFT: usize = SHARP + 1024;
/** A profile and its ends beyond both. */
export const PADDED: usize = COLOUR_SOFT + 1024;

const GRIDS: usize = PADDED + 4096;
/** What a blur makes of a step; the profile, and the one with higher crowns. */
export const STEP: usize = GRIDS;
export const VALUE: usize = GRIDS + GRID;
export const RAISED: usize = GRIDS + 2 * GRID;
/** Changes by sharpening and blur, shade and mirror, rough and limb: a pair a cell, six grids. */
export const CHANGES: usize = GRIDS + 3 * GRID;
/** Rim terms by depth (mirror, rough, limb) and spread; what is mirrored beyond the light just outside (polished, rough), by depth and spread. */
export const RAW: usize = GRIDS + 9 * GRID;
export const LIT: usize = GRIDS + 12 * GRID;
export const BEYOND_RAW: usize = GRIDS + 15 * GRID;
export const BEYOND_LIT: usize = GRIDS + 17 * GRID;
/** Stage's and body's light by depth, and their shares over the grid; what is mirrored beyond, of the surface at hand. */
export const SUMMED: usize = GRIDS + 19 * GRID;
export const STAGE_SHARE: usize = GRIDS + 21 * GRID;
export const BODY_SHARE: usize = GRIDS + 22 * GRID;
export const BEYOND: usize = GRIDS + 23 * GRID;
/** Sky that the stage lacks, by distance and spread. */
export const BESIDE: usize = GRIDS + 24 * GRID;
export const SHADOW: usize = GRIDS + 25 * GRID;
/** Slopes of the display value by the shares of stage, outside, body and shade. */
export const BY_STAGE: usize = GRIDS + 26 * GRID;
export const BY_OUTSIDE: usize = GRIDS + 27 * GRID;
export const BY_BODY: usize = GRIDS + 28 * GRID;
export const BY_SHADE: usize = GRIDS + 29 * GRID;
export const COLOUR: usize = GRIDS + 30 * GRID;
export const SOFT: usize = GRIDS + 31 * GRID;
export const BY_SHARPENING: usize = GRIDS + 32 * GRID;
export const BY_BLUR: usize = GRIDS + 33 * GRID;

/**
 * What lies between the profile's cells, of which the first and the last stand for all beyond them: value and the three numbers of its cubic; share of
 * outside and its rise.
 */
export const CURVE: usize = 48;
export const CURVES: usize = GRIDS + 34 * GRID;

/** What the five unknowns are believed to be up to; the factor of their block of the normal equations, row-major; what their steps are. */
export const BELIEFS: usize = CURVES + 3456;
export const FACTOR: usize = BELIEFS + 40;
export const STEPS: usize = FACTOR + 200;
/** What the pixels well inside and well outside show together: red, green, blue and their number, on each side. */
export const LEVELS: usize = STEPS + 40;
/** How the unknowns go along with each change, five numbers each, and behind them how they go along with the gradient. */
export const SOLVED: usize = LEVELS + 64;

/**
 * Rim terms by depth (mirror, rough, limb; polished and rough of what is mirrored beyond); of two cells side by side the weights of the depths near
 * them, so many, from the first one on.
 */
const DEPTHS: usize = 16;
export const NEAR_DEPTHS: i32 = 5;
export const SHARES: usize = CURVES + 4096;
export const DEPTH_WEIGHTS: usize = SHARES + 5 * 8 * DEPTHS;
export const FIRST_DEPTHS: usize = DEPTH_WEIGHTS + 8 * <usize>(INNER * NEAR_DEPTHS);

/** Pixels of a segment (so many at most), three numbers each: distance from the outline, px; value; what the outline's bend moves it by, px. */
const MOST_PIXELS: usize = 1024;
export const PIXEL: usize = 24;
export const PIXELS: usize = FIRST_DEPTHS + 144;
/** What was seen of each, {@link SEEN} bytes; both have room for one more. */
export const SEEN: usize = 96;
export const SEEN_PIXELS: usize = PIXELS + PIXEL * (MOST_PIXELS + 1) + 8;
/** Where what has no fixed place begins. */
export const ROOM: usize = (SEEN_PIXELS + SEEN * (MOST_PIXELS + 1) + 15) & ~15;
