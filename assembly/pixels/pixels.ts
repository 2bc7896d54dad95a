/** Loops over the pixels of a photo; where things lie in the memory is told with each call. */
export { addBinned, beside, countBelow, middling, rowsBeside } from './beside';
export { opened } from './open';
export { greenRow, sumRow } from './reduce';
export { compared, products, smooth, weighted } from './saddle';
export { above, gradients, packed, smoothPlane } from './steep';
export { darker } from './threshold';
