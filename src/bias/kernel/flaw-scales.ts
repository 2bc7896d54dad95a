/** Heights of mark and crown that are thrown for the tables of flaws, in mean face distances. */
export const FLAW_HEIGHTS = [0.005, 0.01, 0.02] as const;
/** Places of the mark that are thrown, in the land's inner radius from its centre; at the middle height. */
export const MARK_PLACES = [0.35, 0.7, 1] as const;
/** Depth of the trim that is thrown, in mean face distances. */
export const TRIM_DEPTH = 0.05;
