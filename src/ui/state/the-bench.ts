import { Bench } from './bench.svelte.ts';

/** What all rooms work on: the die in hand (`bench.set`), its photos and what came of them. */
export const bench = new Bench();
