/** Contacts of an outline's rays, and sums over its points in their order; where things lie in the memory is told with each call. */
export { BALLS_X, MOST_BALLS, ROOM, SUM } from './layout';
export { heldContacts } from './contacts';
export { addRows } from './rows';
export { sumStretches, takeOutStretches } from './stretches';
