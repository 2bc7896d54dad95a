/** What looking at a die's faces works out over and over. */
export {
  COLOURS,
  HELD_MASK,
  HELD_VALUE,
  HELD_WHOLE,
  LIGHT,
  MASK,
  MOMENTS,
  PAIRS,
  PARAMETERS,
  RESULTS,
  ROOM,
  SMOOTH,
  SQUARES,
  TERMS,
  VALUE,
  WHOLE,
} from './layout';
export { takeBackdrop } from './backdrop';
export { alongWay, colourSums, skinSums, skinSquares } from './colours';
export { gridded } from './grid';
export { correlation, drawnIn, reduced } from './looks';
export { spread } from './masks';
export { turnedPatch } from './patch';
export { sampled } from './picture';
export { circleSums, smoothed } from './window';
export { smoothSums, takeSmooth } from './smooth';
export { departed, departedIn, listed, softened, surfaceSums, takeSurface, within } from './surface';
