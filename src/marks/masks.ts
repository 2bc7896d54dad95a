/** Masks are 1 or 0 per pixel of a square picture, rows from the top; outside it they are 0. */

/** Grown by a square of `by` pixels each way. */
export const dilated = (mask: Uint8Array, size: number, by: number): Uint8Array => spread(mask, size, by, 1);

/** Shrunk by a square of `by` pixels each way. */
export const eroded = (mask: Uint8Array, size: number, by: number): Uint8Array => spread(mask, size, by, 0);

let between = new Uint8Array(0);

/** What is no further off than `by` from a pixel that is `value`, along rows and columns, becomes it; the rest does not. */
function spread(mask: Uint8Array, size: number, by: number, value: 0 | 1): Uint8Array {
  const out = new Uint8Array(mask.length);
  const box = boxOf(mask, size);
  if (box === null) return out;
  if (between.length < mask.length) between = new Uint8Array(mask.length);
  // Nothing is 1 further from the box of what is.
  const [left, top, right, bottom] = grown(box, value === 1 ? by : 0, size);
  const [width, height] = [right - left + 1, bottom - top + 1];
  between.fill(0, top * size, (bottom + 1) * size);
  const [, first, , last] = box;
  for (let y = first; y <= last; y++) spreadAlong(mask, between, y * size + left, 1, width, by, value);
  for (let x = left; x <= right; x++) spreadAlong(between, out, top * size + x, size, height, by, value);
  return out;
}

/** First column and row that have a pixel, and last. */
type Box = readonly [left: number, top: number, right: number, bottom: number];

function boxOf(mask: Uint8Array, size: number): Box | null {
  const first = mask.indexOf(1);
  if (first < 0) return null;
  const [top, bottom] = [Math.floor(first / size), Math.floor(mask.lastIndexOf(1) / size)];
  let [left, right] = [size, -1];
  for (let y = top; y <= bottom; y++) {
    const row = y * size;
    for (let x = 0; x < left; x++) if (mask[row + x] === 1) left = x;
    for (let x = size - 1; x > right; x--) if (mask[row + x] === 1) right = x;
  }
  return [left, top, right, bottom];
}

const grown = ([left, top, right, bottom]: Box, by: number, size: number): Box => [
  Math.max(0, left - by),
  Math.max(0, top - by),
  Math.min(size - 1, right + by),
  Math.min(size - 1, bottom + by),
];

/** The same along one line of `length` pixels that lie `step` apart; beyond its ends they are 0. */
function spreadAlong(
  from: Uint8Array,
  to: Uint8Array,
  start: number,
  step: number,
  length: number,
  by: number,
  value: 0 | 1,
): void {
  let [k, out] = [start, start];
  // How many in a row are not of the value; those before the line are 0.
  let others = value === 0 ? 0 : by;
  for (let i = 0; i < length + by; i++, k += step) {
    others = (i < length ? from[k] : 0) === value ? 0 : others + 1;
    if (i < by) continue;
    to[out] = others > 2 * by ? 1 - value : value;
    out += step;
  }
}

/** Connected things (eight neighbours) of a mask, each as its pixels. */
export function parts(mask: Uint8Array, size: number): number[][] {
  const left = mask.slice();
  const found: number[][] = [];
  for (let k = left.indexOf(1); k >= 0; k = left.indexOf(1, k)) {
    const part: number[] = [];
    const todo = [k];
    left[k] = 0;
    for (let at = todo.pop(); at !== undefined; at = todo.pop()) {
      part.push(at);
      const x = at % size;
      const y = Math.floor(at / size);
      for (let j = Math.max(0, y - 1); j <= Math.min(size - 1, y + 1); j++)
        for (let i = Math.max(0, x - 1); i <= Math.min(size - 1, x + 1); i++)
          if (left[j * size + i] === 1) {
            left[j * size + i] = 0;
            todo.push(j * size + i);
          }
    }
    found.push(part);
  }
  return found;
}
