import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import sharp from 'sharp';
import { expect, test } from 'vitest';
import { decodePicture } from '../src/cli/decode.ts';
import { Rooms } from '../src/photo/rooms.ts';

test('a room that is given back serves what fits into it, the largest are kept, and no more than two', () => {
  const rooms = new Rooms<ArrayBuffer>();
  const [small, middle, large] = [10, 20, 30].map((n) => new ArrayBuffer(n)) as [ArrayBuffer, ArrayBuffer, ArrayBuffer];
  for (const room of [small, large, middle]) rooms.give(room);
  expect(rooms.take(31)).toBeNull();
  expect(rooms.take(25)).toBe(large);
  expect(rooms.take(5)).toBe(middle);
  expect(rooms.take(5)).toBeNull();
});

test('a photo decoded into a room that was given back is the same, and none lies in a room that is in use', async () => {
  const [one, other] = await Promise.all(
    ['01-1.jpg', '02-2.jpg'].map((name) => readFile(join(import.meta.dirname, '../samples/d6', name))),
  );
  // Rooms that others gave back, two at most, are in use from here on.
  for (let k = 0; k < 2; k++) await decodePicture(one!);
  const first = await decodePicture(one!);
  const copied = (data: Uint8Array | Uint8ClampedArray): Buffer => Buffer.from(data);
  const pixels = copied(first.data);
  first.release!();
  const second = await decodePicture(other!);
  expect(pixels.equals(copied(second.data))).toBe(false);
  // The same memory: what was seen through the first is the second's now, and stays so when a third comes.
  const third = await decodePicture(one!);
  expect(copied(first.data).equals(copied(second.data))).toBe(true);
  expect(pixels.equals(copied(third.data))).toBe(true);
});

test('a large photo is decoded where it is looked at, without a copy beside it, and not many stand in memory', async () => {
  const bytes = await sharp(join(import.meta.dirname, '../samples/d6/01-1.jpg'))
    .resize(5200, 3900)
    .jpeg()
    .toBuffer();
  const expected = await sharp(bytes).raw().toBuffer();
  const before = process.memoryUsage().external;
  let most = 0;
  for (let k = 0; k < 5; k++) {
    await decodedAs(bytes, expected);
    await setImmediate();
    most = Math.max(most, process.memoryUsage().external - before);
  }
  expect(most).toBeLessThan(2.5 * expected.length);
});

async function decodedAs(bytes: Uint8Array, expected: Buffer): Promise<void> {
  const { width, height, channels, data, release } = await decodePicture(bytes);
  expect([width, height, channels, data.buffer instanceof ArrayBuffer]).toEqual([5200, 3900, 3, true]);
  expect(expected.equals(new Uint8Array(data.buffer, data.byteOffset, data.length))).toBe(true);
  release!();
}
