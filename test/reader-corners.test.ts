import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { expect, test } from 'vitest';
import { drawnSet, readDrawn } from '../config/reader/dice.ts';
import { fount } from '../config/reader/founts.ts';
import { seededRandom } from '../src/maths/random.ts';

const file = createRequire(import.meta.url).resolve('dejavu-fonts-ttf/ttf/DejaVuSans-Bold.ttf');
const founts = [fount('DejaVuSans-Bold', readFileSync(file))];

test.each([true, false])(
  'a d4 is read whether a number stands near each corner (%s) or one on each face',
  (corners) => {
    const random = seededRandom(12);
    const photos = [0, 1].flatMap(() => readDrawn(drawnSet(random, founts, { kind: 'd4', worn: 0, corners }, 4)));
    expect(photos.filter((p) => p.together === false)).toEqual([]);
    expect(photos.filter((p) => p.together === true).length).toBeGreaterThanOrEqual(4);
  },
);
