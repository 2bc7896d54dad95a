/** Loops over the pixels of a photo; where things lie in the memory is told with each call. */
export { darker } from './threshold';
