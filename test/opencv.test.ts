import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { beforeAll, describe, expect, test } from 'vitest';
import { checkedOpenCv, OPENCV_DIGESTS } from '../config/opencv-digests.ts';
import { opencvFactorySource, opencvModuleSource } from '../config/opencv-source.ts';
import { loadCv } from '../src/cli/opencv-node.ts';
import { withArena, type Cv, type Mat } from '../src/vision/cv.ts';

let cv: Cv;
beforeAll(async () => {
  cv = await loadCv();
});

/** A black picture, 40 x 30, with a white rectangle whose top left pixel is (10, 5), 12 wide and 8 high. */
function rectangle(): Uint8Array {
  const data = new Uint8Array(40 * 30);
  for (let y = 5; y < 13; y++) data.fill(255, y * 40 + 10, y * 40 + 22);
  return data;
}

describe('the rewritten source', () => {
  const published = readFileSync(createRequire(import.meta.url).resolve('opencv-wasm/opencv.js'), 'utf8');

  test('builds no code from text and reaches for nothing of its host', () => {
    const reaches = /new Function|new_\(Function|\beval\(|process\["(?:on|exit)"\]|importScripts/g;
    expect(published.match(reaches)).toHaveLength(9);
    expect(opencvModuleSource(published).match(reaches)).toBeNull();
  });

  test('is that of the pinned digests; one changed byte of either file ends build and command line', () => {
    for (const name of Object.keys(OPENCV_DIGESTS) as (keyof typeof OPENCV_DIGESTS)[]) {
      const bytes = new Uint8Array(readFileSync(createRequire(import.meta.url).resolve(`opencv-wasm/${name}`)));
      expect(checkedOpenCv(name, bytes)).toBe(bytes);
      bytes[bytes.length >> 1]! ^= 1;
      expect(() => checkedOpenCv(name, bytes)).toThrow(/not the known one: SHA-256/);
    }
  });

  test('is refused when the package is not the one it was written for', () => {
    expect(() => opencvFactorySource(published.replace('Module["then"] = function(func) {', ''))).toThrow(/not found/);
    expect(() => opencvFactorySource('')).toThrow(/not found/);
  });
});

describe('loading', () => {
  test('leaves no listener on the process, and ends when awaited', async () => {
    const before = process.eventNames().map((name) => [name, process.listenerCount(name)]);
    await loadCv();
    expect(process.eventNames().map((name) => [name, process.listenerCount(name)])).toEqual(before);
  });
});

describe('the door', () => {
  test('thresholds, and finds the chain around a rectangle', () => {
    const chains = withArena(cv, (arena) => {
      const binary = arena.mat();
      expect(cv.threshold(arena.mat(30, 40, 'u8', rectangle()), binary, 100, 255, 'binary')).toBe(100);
      return cv.findContours(binary, 'external', 'corners').chains;
    });
    // Corners of the outermost white pixels, counter-clockwise as drawn.
    expect(chains.map((chain) => [...chain])).toEqual([[10, 5, 10, 12, 21, 12, 21, 5]]);
    const [chain] = chains as [Int32Array];
    expect(cv.contourArea(chain)).toBe(11 * 7);
    expect(cv.contourArea(chain, true)).toBe(-11 * 7);
    expect(cv.isContourConvex(chain)).toBe(true);
    expect(cv.boundingRect(chain)).toEqual({ x: 10, y: 5, width: 12, height: 8 });
    expect(cv.approxPolyDP(chain, 1, true)).toEqual(chain);
    expect(cv.live()).toBe(0);
  });

  test('leaves short chains out and keeps their place in the tree', () => {
    const found = withArena(cv, (arena) => {
      const data = rectangle();
      data[0] = 255;
      return cv.findContours(arena.mat(30, 40, 'u8', data), 'tree', 'all', 2);
    });
    expect(found.chains.map((chain) => chain.length).sort((a, b) => a - b)).toEqual([0, 2 * 36]);
    expect(found.hierarchy.length).toBe(8);
  });

  test('says nothing was found as an empty list', () => {
    const found = withArena(cv, (arena) => cv.findContours(arena.mat(3, 3, 'u8'), 'list', 'all'));
    expect(found).toEqual({ chains: [], hierarchy: new Int32Array(0) });
  });

  test('keeps whole points whole and fractional points fractional', () => {
    const hull = cv.convexHull(Float32Array.of(0, 0, 4.5, 0, 2, 1, 4.5, 3.25, 0, 3.25));
    expect(hull).toBeInstanceOf(Float32Array);
    expect(hull.length).toBe(8);
    expect(cv.contourArea(hull)).toBeCloseTo(4.5 * 3.25, 6);
    expect(cv.convexHull(Int32Array.of(0, 0, 2, 0, 1, 1, 2, 2, 0, 2))).toBeInstanceOf(Int32Array);
  });

  test('labels, measures and finds the middle of a rectangle', () => {
    withArena(cv, (arena) => {
      const [labels, stats, centroids] = [arena.mat(), arena.mat(), arena.mat()];
      const source = arena.mat(30, 40, 'u8', rectangle());
      expect(cv.connectedComponentsWithStats(source, labels, stats, centroids, 8)).toBe(2);
      expect([...stats.data32S.slice(5)]).toEqual([10, 5, 12, 8, 96]);
      expect([...centroids.data64F.slice(2)]).toEqual([15.5, 8.5]);
      expect(labels.data32S[9 * 40 + 11]).toBe(1);
    });
  });

  test('greys, blurs, shrinks, differentiates, opens and closes', () => {
    withArena(cv, (arena) => {
      const grey = arena.mat();
      cv.cvtColor(arena.mat(1, 2, 'u8x4', Uint8Array.of(255, 255, 255, 255, 255, 0, 0, 255)), grey, 'rgba-grey');
      // 0.299 of 255: the luma weight of red, ITU-R BT.601.
      expect([...grey.data]).toEqual([255, 76]);

      const source = arena.mat(30, 40, 'u8', rectangle());
      const [small, slope, blurred, opened, adaptive] = [0, 0, 0, 0, 0].map(() => arena.mat()) as [
        Mat,
        Mat,
        Mat,
        Mat,
        Mat,
      ];
      cv.resize(source, small, 20, 15, 'area');
      expect([small.cols, small.rows, small.data[3 * 20 + 6]]).toEqual([20, 15, 255]);
      cv.Sobel(source, slope, 's16', 1, 0, 3);
      expect(slope.data16S[8 * 40 + 10]).toBe(4 * 255);
      cv.GaussianBlur(source, blurred, 5, 1);
      expect(blurred.data[8 * 40 + 15]).toBe(255);
      expect(blurred.data[8 * 40 + 9]).toBeGreaterThan(blurred.data[8 * 40 + 8]!);
      cv.morphologyEx(source, opened, 'open', 'box', 9);
      expect(opened.data.every((value) => value === 0)).toBe(true);
      cv.morphologyEx(source, opened, 'close', 'ellipse', 3);
      expect(opened.data.slice()).toEqual(rectangle());
      cv.adaptiveThreshold(source, adaptive, 255, 'mean', 'binary', 5, -10);
      expect([adaptive.data[8 * 40 + 10], adaptive.data[8 * 40 + 15], adaptive.data[8 * 40 + 9]]).toEqual([255, 0, 0]);
    });
    expect(cv.live()).toBe(0);
  });

  test('starts matrices at zero, whatever their memory held before', () => {
    withArena(cv, (arena) => arena.mat(50, 50, 'u8', new Uint8Array(2500).fill(7)));
    expect(withArena(cv, (arena) => arena.mat(50, 50, 'u8').data.every((value) => value === 0))).toBe(true);
  });
});

describe('failures', () => {
  const fails: readonly (readonly [string, RegExp, (source: Mat, other: Mat) => unknown])[] = [
    ['a C++ exception', /Invalid number of channels/, (source, other) => cv.cvtColor(source, other, 'rgba-grey')],
    [
      'wrong block size',
      /blockSize/,
      (source, other) => cv.adaptiveThreshold(source, other, 255, 'mean', 'binary', 4, 0),
    ],
    ['an in-place call', /two matrices/, (source) => cv.GaussianBlur(source, source, 3, 1)],
    [
      'a picture of floats',
      /findContours|Contour|CV_8UC1|support/,
      () => withArena(cv, (a) => cv.findContours(a.mat(3, 3, 'f32'), 'list', 'all')),
    ],
    [
      'an error of the caller',
      /my own/,
      () => {
        throw new Error('my own');
      },
    ],
    ['a matrix larger than memory', /./, () => withArena(cv, (a) => a.mat(30_000, 30_000, 'u8x4'))],
  ];
  test.each(fails)('%s is an Error with a message, and everything is freed', (_name, message, call) => {
    const run = (): unknown => withArena(cv, (arena) => call(arena.mat(4, 4, 'u8'), arena.mat()) as number);
    expect(run).toThrow(message);
    expect(run).toThrow(Error);
    expect(cv.live()).toBe(0);
  });

  test('data of the wrong length is refused before memory is taken', () => {
    expect(() => withArena(cv, (arena) => arena.mat(2, 2, 'u8x4', new Uint8Array(4)))).toThrow(
      /16 elements needed, 4 given/,
    );
    expect(cv.live()).toBe(0);
  });

  test('memory is reused: forty rounds need no more than two', () => {
    const round = (): void =>
      withArena(cv, (arena) => {
        const blurred = arena.mat();
        cv.GaussianBlur(arena.mat(1000, 1000, 'u8x4'), blurred, 5, 1);
      });
    round();
    const size = (): number => withArena(cv, (arena) => arena.mat(1, 1, 'u8').data.buffer.byteLength);
    round();
    const before = size();
    for (let i = 0; i < 40; i++) round();
    expect(size()).toBe(before);
  });
});
