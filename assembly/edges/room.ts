import * as at from './layout';

/** Where the band round an outline lies, behind what has a fixed place; its places move only where the room grows. */

/** Of each sample: place and outward normal, px; how far the outline bends there, 1 / px; its segment, or -1. */
export let XY: usize = 0;
export let NORMAL: usize = 0;
export let CURVATURE: usize = 0;
export let OF: usize = 0;
/** Of each segment its first pixel, and the end; the one that is filled next. */
export let START: usize = 0;
export let NEXT: usize = 0;
/**
 * Of each pixel in the order in which they were claimed, from {@link FIRST} on: its place in the crop; the sample that has claimed it, and how far
 * aside of it the pixel lies ({@link CLAIM} bytes). The first claim is nobody's and stands for pixels that are free, the second for all that lies out of the crop.
 */
export let PLACES: usize = 0;
export let CLAIMS: usize = 0;
export const CLAIM: usize = 8;
export const FREE: i32 = 0;
export const OUTSIDE_CROP: i32 = 1;
export const FIRST: i32 = 2;
/** Of each pixel by segment: distance from the outline, px; value; sample; what it shows, red in the lowest byte, 1 in the highest. */
export let S: usize = 0;
export let Y: usize = 0;
export let SAMPLE: usize = 0;
export let SHOWN: usize = 0;
/** Sizes of what is left well inside and well outside. */
export let INSIDE: usize = 0;
export let OUTSIDE: usize = 0;
/** How many of them have each digit, see `median.ts`. */
export let COUNTS: usize = 0;
/** Of each pixel of the crop which claim is its own, {@link CELL} bytes; free between calls. */
export let CELLS: usize = 0;
export const CELL: usize = 4;

/** Bytes that a lane may reach beyond its list. */
const BEYOND: usize = 16;
let free: usize = 0;

/** Makes room; returns where the crop's cells begin, of which one more than it has pixels is needed. */
export function lay(samples: i32, segments: i32, pixels: i32): usize {
  free = at.ROOM;
  XY = taken(samples, 16);
  NORMAL = taken(samples, 16);
  CURVATURE = taken(samples, 8);
  OF = taken(samples, 4);
  START = taken(segments + 1, 4);
  NEXT = taken(segments + 1, 4);
  PLACES = taken(pixels + FIRST, 4);
  CLAIMS = taken(pixels + FIRST, 8);
  S = taken(pixels, 4);
  Y = taken(pixels, 4);
  SAMPLE = taken(pixels, 4);
  SHOWN = taken(pixels, 4);
  INSIDE = taken(pixels, 4);
  OUTSIDE = taken(pixels, 4);
  COUNTS = taken(2048, 4);
  CELLS = free;
  return CELLS;
}

function taken(count: i32, bytes: usize): usize {
  const place = free;
  free += (<usize>count * bytes + BEYOND + 15) & ~15;
  return place;
}
