/** What measuring an outline's segments works out over and over: what one would show, and how its pixels depart from it. */
export {
  BELIEFS,
  BESIDE,
  BEYOND_RAW,
  CHANGES,
  COLOUR_SOFT,
  DEPTH_WEIGHTS,
  FACTOR,
  FIRST_DEPTHS,
  GRADIENT,
  GRID,
  KERNEL,
  LEVELS,
  LOCAL,
  MATRIX,
  PARAMETERS,
  PIXELS,
  RAISED,
  RAW,
  SEEN_PIXELS,
  SHARES,
  SOLVED,
  SHARP,
  STEP,
  TONE,
  VALUE,
} from './layout';
export { claim, group } from './band';
export { takeCurves } from './look';
export { upperMedian } from './median';
export { place } from './place';
export { profile } from './profile';
export { INSIDE, lay, NORMAL, OF, OUTSIDE, S, SHOWN, START, XY, Y, CURVATURE } from './room';
export { forgetResiduals, INSIDE_KEPT, keepResiduals, levels, OUTSIDE_KEPT, takePixels } from './segment';
export { factored, settle, solveChanges } from './settle';
export { accumulate, withChanges } from './sums';
