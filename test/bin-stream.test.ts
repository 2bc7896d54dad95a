import { appendFileSync, mkdtempSync, readFileSync, rmSync, statSync, truncateSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { createBin } from '../src/bin/bin.ts';
import { createBinStream, memoryStore, type Looked } from '../src/bin/bin-stream.ts';
import { wholeResult } from '../src/bin/judge-photo.ts';
import { lookAt } from '../src/bin/look-at.ts';
import { openJournal } from '../src/cli/bin-journal.ts';
import { loadCv } from '../src/cli/opencv-node.ts';
import { openSpool } from '../src/cli/spool.ts';
import type { Picture } from '../src/vision/picture.ts';
import { BinScene, D6_JOB } from './support/bin-scene.ts';

const cv = await loadCv();
const folder = mkdtempSync(join(tmpdir(), 'evencast-stream-'));
afterAll(() => rmSync(folder, { recursive: true }));

const cube = { kind: 'd6', up: 4, size: 16, radius: 0.8 } as const;

/** Eight photos: seven of two dice each, of one camera, so that one is left over from six; a twin and an empty stage. */
const pictures: readonly (readonly [name: string, picture: Picture])[] = (() => {
  const scenes = Array.from({ length: 7 }, (_, i) =>
    new BinScene({ seed: i + 1 })
      .die({ ...cube, x: -25 + i, y: 8 - i, yaw: 0.3 * i })
      .die({ ...cube, x: 20 - i, y: i - 4, yaw: 0.1 + 0.2 * i, size: i === 2 ? 15 : 16 }),
  );
  const named = scenes.map((s, i) => [`${i}.jpg`, s.picture] as const);
  return [
    ...named.slice(0, 4),
    ['twin.jpg', named[1]![1]],
    ['empty.jpg', new BinScene({ seed: 9 }).picture],
    ...named.slice(4),
  ];
})();
const focal = new BinScene().scene.camera.f;
const looked = new Map(pictures.map(([name, picture]) => [name, lookAt(cv, { name, picture, focal }, D6_JOB)]));

describe('photos one after the other', () => {
  test('come to the same verdicts as a bin that holds them all', () => {
    const bin = createBin(cv, D6_JOB);
    for (const [name, picture] of pictures) bin.addPhoto({ name, picture, focal });
    const stream = createBinStream(D6_JOB, memoryStore());
    const left = pictures.map(([name]) => stream.add(name, looked.get(name)!)?.code ?? null);
    expect(left.filter((c) => c !== null)).toEqual(['duplicate', 'no-die']);
    const { standard, photos } = stream.finish();
    expect(JSON.stringify(wholeResult(D6_JOB, standard, [...photos]))).toBe(JSON.stringify(bin.finish()));
  });

  test('lie on the disk meanwhile, and come back as they were', () => {
    const spool = openSpool<unknown>();
    const [a, b] = [looked.get('0.jpg'), looked.get('1.jpg')];
    spool.put(0, 'first');
    spool.put(1, b);
    spool.put(0, a);
    expect([spool.get(0), spool.get(1)]).toEqual([a, b]);
    spool.close();
  });
});

describe('a journal', () => {
  const path = join(folder, 'list.csv.journal');
  const all = [...looked.values()];
  const write = (count: number, work = 'a'): number => {
    const journal = openJournal<Looked>(path, work);
    const { known } = journal;
    for (const one of all.slice(known, count)) journal.append(one);
    journal.close();
    return known;
  };
  const read = (work = 'a'): Looked[] => {
    const journal = openJournal<Looked>(path, work);
    const out = [...journal.earlier()];
    journal.close();
    return out;
  };

  test('is gone on with, and gives back to the bit what was written', () => {
    expect(write(3)).toBe(0);
    expect(write(9)).toBe(3);
    expect(read()).toEqual(all.slice(0, 9));
  });

  test('loses what was cut off or damaged at its end, and no more', () => {
    const { size } = statSync(path);
    truncateSync(path, size - 5);
    expect(read()).toEqual(all.slice(0, 8));
    const bytes = readFileSync(path);
    appendFileSync(path, bytes.subarray(0, 40));
    expect(read()).toEqual(all.slice(0, 8));
    expect(write(9)).toBe(8);
    expect(read()).toEqual(all.slice(0, 9));
  });

  test('of other work, or what is no journal, is begun anew', () => {
    expect(read('b')).toEqual([]);
    appendFileSync(path, 'no block at all, but long enough to look like the beginning of one');
    expect(read('b')).toEqual([]);
  });
});
