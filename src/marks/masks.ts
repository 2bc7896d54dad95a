/** Masks are 1 or 0 per pixel of a square picture, rows from the top; outside it they are 0. */

/** Grown by a square of `by` pixels each way. */
export const dilated = (mask: Uint8Array, size: number, by: number): Uint8Array => spread(mask, size, by, 1);

/** Shrunk by a square of `by` pixels each way. */
export const eroded = (mask: Uint8Array, size: number, by: number): Uint8Array => spread(mask, size, by, 0);

let between = new Uint8Array(0);

/** What is no further off than `by` from a pixel that is `value`, along rows and columns, becomes it; the rest does not. */
function spread(mask: Uint8Array, size: number, by: number, value: 0 | 1): Uint8Array {
  const out = new Uint8Array(mask.length);
  if (!mask.includes(1)) return out;
  if (between.length < mask.length) between = new Uint8Array(mask.length);
  spreadAlong(mask, between, size, by, value, 1, size);
  spreadAlong(between, out, size, by, value, size, 1);
  return out;
}

/** The same along lines whose pixels lie `step` apart, each line beginning `line` behind the one before. */
function spreadAlong(
  from: Uint8Array,
  to: Uint8Array,
  size: number,
  by: number,
  value: 0 | 1,
  step: number,
  line: number,
): void {
  for (let l = 0; l < size; l++) {
    let k = l * line;
    let out = k;
    // How many in a row are not of the value; those before the line are 0.
    let others = value === 0 ? 0 : by;
    for (let i = 0; i < size + by; i++, k += step) {
      others = (i < size ? from[k] : 0) === value ? 0 : others + 1;
      if (i < by) continue;
      to[out] = others > 2 * by ? 1 - value : value;
      out += step;
    }
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
