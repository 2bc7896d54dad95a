import { bestFaces, shownFaces } from '../src/faces/best-faces.ts';
import { faceNet } from '../src/figures/face-net.ts';
import type { NumbersTable } from '../src/measure/measure.ts';
import { seenNumbers } from '../src/measure/seen-numbers.ts';
import type { SeenDie } from './protocol.ts';

/** What was read of a die's numbers, with its faces as a net. */
export function seenDie(read: NumbersTable): SeenDie {
  const { set } = read;
  const best = bestFaces(set);
  const { width, height, data, umPerPx } = faceNet(set.solid, best);
  return {
    ...seenNumbers(read),
    net: { width, height, rgba: data },
    netAbout: { umPerPx, ...shownFaces(set, best) },
  };
}
