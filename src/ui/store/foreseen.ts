import type { Foreseen } from '../../report/record/foreseen.ts';

const known = new WeakMap<object, Foreseen>();

/** Keeps what a worker foretold of a result; a result never changes. */
export const keepForeseen = (result: object, foreseen: Foreseen): void => void known.set(result, foreseen);

/** What was foretold of a result without a throw; undefined where nobody did. */
export const foreseenOf = (result: object): Foreseen | undefined => known.get(result);
