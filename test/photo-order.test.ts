import { expect, test } from 'vitest';
import { photoOrder } from '../src/ui/store/photo-order.ts';

test('names that count are in their order, whatever the times', () => {
  expect(photoOrder(['10.jpg', '9.jpg', '1.jpg'], [1, 2, 3])).toEqual([2, 1, 0]);
});

test('names that do not count leave it to the times', () => {
  expect(photoOrder(['b.jpg', 'a.jpg', 'c.jpg'], [300, 100, 200])).toEqual([1, 2, 0]);
  // What was pasted is called alike each time.
  expect(photoOrder(['image 1.png', 'image 1.png'], [2, 1])).toEqual([1, 0]);
});

test('without all times, or with two alike, names decide', () => {
  expect(photoOrder(['b.jpg', 'a.jpg'], [1, null])).toEqual([1, 0]);
  expect(photoOrder(['b.jpg', 'a.jpg'], [5, 5])).toEqual([1, 0]);
  expect(photoOrder(['b.jpg', 'a.jpg'])).toEqual([1, 0]);
  expect(photoOrder([])).toEqual([]);
});

test('names alike stay in the order given', () => {
  expect(photoOrder(['a', 'a', 'a'])).toEqual([0, 1, 2]);
});
