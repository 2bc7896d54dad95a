/** What measuring an outline's segments works out over and over: what one would show, and how its pixels depart from it. */
export {
  BESIDE,
  BEYOND_RAW,
  CHANGES,
  COLOUR_SOFT,
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
export { profile } from './profile';
export { accumulate, withChanges } from './sums';
