/** Sums over the points of an outline, in the order of the points; where things lie in the memory is told with each call. */
export { ROOM } from './layout';
export { addRows } from './rows';
