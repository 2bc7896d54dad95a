/** The one set of bounds for everything that is read: files, stored records, what other programs write. Lengths mm, counts whole. */
export const BOUNDS = {
  /** Of a length, and of a standard uncertainty. */
  length: 1000,
  /** Of any other number, either way. */
  number: 1e15,
  /** Of a number's name on a die ("20", "00"). */
  label: 12,
  /** Of an axis, a face, a corner, a code. */
  name: 60,
  /** Of a file's name and other single lines; of what a note saw; of a remark or a note typed. */
  line: 255,
  seen: 400,
  text: 4000,
  /** Of a die: more faces, corners, edges and axes than any kind has. */
  faces: 20,
  axes: 20,
  corners: 60,
  edges: 60,
  /** Photos of one die, and remarks on one photo or set. */
  photos: 60,
  notes: 60,
  /** Points of one outline. */
  points: 20_000,
  /** Lines of an uncertainty budget. */
  budget: 40,
  marks: 40,
  /** Dice of a lot, photos of a bin, things in one photo of a bin. */
  dice: 2000,
  binPhotos: 20_000,
  things: 200,
  /** Levels of lists and objects within each other; no format here has more than 9. */
  depth: 32,
} as const;

/** Lengths that a check bar may have; beyond them it is a slip of the pen, mm (nominal 100). */
export const CHECK_BAR_RANGE = [80, 125] as const;
/** Standard uncertainties that a check bar may have, mm. */
export const CHECK_BAR_U_RANGE = [1e-3, 5] as const;
/** Apex heights over belt radius that a d10's mould may have. */
export const APEX_RANGE = [0.8, 1.25] as const;
