/** What looking at a die's faces works out over and over. */
export { COLOURS, LIGHT, MASK, PAIRS, PAIRS_WHOLE, PARAMETERS, RESULTS, ROOM, SQUARES, VALUE, WHOLE } from './layout';
export { takeBackdrop } from './backdrop';
export { alongWay, colourSums, skinSums, skinSquares } from './colours';
export { gridded } from './grid';
export { correlation, drawnIn, reduced } from './looks';
export { turnedPatch } from './patch';
export { sampled } from './picture';
