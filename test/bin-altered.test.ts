import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { binCounts } from '../src/cli/altered/bin-outcome.ts';
import { BIN_ALTERATIONS } from '../src/cli/altered/bin-alterations.ts';
import { castShadows } from '../src/cli/altered/cast-shadows.ts';
import { binAltered, readBinSet } from '../src/cli/bench-bin-altered.ts';
import { loadCv } from '../src/cli/opencv-node.ts';
import type { BinDie, BinPhoto } from '../src/bin/types.ts';

const cv = await loadCv();
const set = await readBinSet(cv, join(import.meta.dirname, '../samples/d6'));
const alteration = (name: string): (typeof BIN_ALTERATIONS)[number] => BIN_ALTERATIONS.find((a) => a.name === name)!;

// The whole of it is a bench: `npm run bench -- bin-altered FOLDER...`.
describe('the sample d6, sorted as a bin after what life does to its photos', () => {
  test.each(['as it is', 'jpeg 40', 'hair', 'pencil'])(
    '%s: every die is found, none is invented, no good one is rejected',
    async (name) => {
      const photos = await binAltered(cv, set, alteration(name));
      expect(binCounts(photos, set.truth)).toMatchObject({
        dice: set.photos.length,
        found: set.photos.length,
        invented: 0,
        goodRejected: 0,
        leftOut: 0,
      });
    },
  );
});

describe('the bench', () => {
  const die = (x: number, verdict: BinDie['verdict'], size: number | null = 16): BinDie =>
    ({ x, y: 0, verdict, size: size === null ? null : { value: size, u: 0.02 } }) as BinDie;
  const photo = (...dice: BinDie[]): BinPhoto => ({
    ...{ photo: 'a', status: 'judged', code: null, remark: null, notes: [], width: 3000, height: 2240, dice },
  });
  const truth = new Map([
    [
      'a',
      [
        { place: [0, 0], good: true },
        { place: [30, 0], good: false },
      ] as const,
    ],
  ]);

  test('counts what was missed, invented and wrongly rejected', () => {
    expect(binCounts([photo(die(1, 'keep'), die(29, 'reject'))], truth)).toMatchObject({
      dice: 2,
      found: 2,
      invented: 0,
      goodRejected: 0,
      badKept: 0,
    });
    expect(binCounts([photo(die(1, 'reject'), die(15, 'look-again', null))], truth)).toMatchObject({
      found: 1,
      invented: 1,
      goodRejected: 1,
    });
    expect(binCounts([photo(die(1, 'look-again', null), die(29, 'keep'))], truth)).toMatchObject({
      measured: 1,
      goodAgain: 1,
      badKept: 1,
    });
  });

  test('a shadow darkens the stage beside a die, on one side, and not the die', async () => {
    const plain = { width: 60, height: 40, data: new Uint8Array(60 * 40 * 3).fill(200) };
    const outline = Float64Array.of(15, 10, 30, 10, 30, 25, 15, 25);
    const { data } = await castShadows(plain, [outline], { along: 0.6, light: 0.5, angle: 0 });
    const at = (x: number, y: number): number => data[3 * (60 * y + x)]!;
    expect(at(22, 17)).toBe(200);
    expect(at(36, 17)).toBeLessThan(120);
    expect(at(8, 17)).toBe(200);
  });
});
