/** What looking at a die's faces works out over and over. */
export { LIGHT, PARAMETERS, ROOM } from './layout';
export { sampled } from './picture';
