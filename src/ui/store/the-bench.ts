import { Bench } from './bench.svelte.ts';
import { Keeper } from './keeper.svelte.ts';

/** What all rooms work on: the die in hand (`bench.set`), its photos and what came of them. */
export const bench = new Bench();

/** Keeps what is entered, brings it back, undoes it. A room keeps things of its own by `keeper.room(name, schema)`. */
export const keeper = new Keeper(bench);
