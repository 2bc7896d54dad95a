import { axisIn } from '../kit/axis-in.ts';
import type { Traced } from './shape-room.svelte.ts';

/** What a number is called in a sentence. */
export function whatOf(
  what: Traced,
  words: {
    readonly axis: (name: string) => string;
    readonly corner: (name: string) => string;
    readonly edge: (name: string) => string;
    readonly face: (name: string) => string;
    readonly meanAxis: string;
    readonly range: string;
    readonly meanRadius: string;
  },
): string {
  return 'name' in what ? words[what.kind](what.kind === 'axis' ? axisIn(what.name) : what.name) : words[what.kind];
}
