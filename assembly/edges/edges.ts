/** What measuring an outline's segments works out over and over: what one would show, and how its pixels depart from it. */
export {
  BELIEFS,
  BESIDE,
  BEYOND_RAW,
  CHANGES,
  COLOUR_SOFT,
  FACTOR,
  GRADIENT,
  GRID,
  KERNEL,
  LOCAL,
  MATRIX,
  PARAMETERS,
  PIXELS,
  RAISED,
  RAW,
  SEEN_PIXELS,
  SHARP,
  STEP,
  TONE,
  VALUE,
} from './layout';
export { takeCurves } from './look';
export { profile } from './profile';
export { factored, settle } from './settle';
export { accumulate, withChanges } from './sums';
