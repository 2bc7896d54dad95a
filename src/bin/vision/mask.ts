/** Cell of {@link floodedGround}: the stage, or no part of it; things have numbers from 1 on. */
export const GROUND = -1;

/**
 * What can be reached from `seeds` without crossing an edge: {@link GROUND} there and outside the stage, 0 elsewhere.
 *
 * @param edges  Non-zero at edges, `w` x `h`.
 * @param seeds  Cells of the blank stage.
 * @param spans  First and last cell of each row that counts.
 */
export function floodedGround(
  edges: Uint8Array,
  seeds: readonly number[],
  spans: Int32Array,
  w: number,
  h: number,
): Int32Array {
  const cell = new Int32Array(w * h).fill(GROUND);
  for (let y = 0; y < h; y++) {
    const row = y * w;
    for (let k = row + spans[2 * y]!; k <= row + spans[2 * y + 1]!; k++) cell[k] = 0;
  }
  const stack = new Int32Array(w * h);
  let depth = 0;
  for (const seed of seeds) {
    if (cell[seed] !== 0 || edges[seed] !== 0) continue;
    cell[seed] = GROUND;
    stack[depth++] = seed;
    while (depth > 0) {
      const k = stack[--depth]!;
      for (let side = 0; side < 4; side++) {
        const q = side === 0 ? k - 1 : side === 1 ? k + 1 : side === 2 ? k - w : k + w;
        if (cell[q] !== 0 || edges[q] !== 0) continue;
        cell[q] = GROUND;
        stack[depth++] = q;
      }
    }
  }
  return cell;
}

/** A connected thing: its number, cells, and the ends of its runs in each row, [x, y] each. */
export interface Labelled {
  readonly label: number;
  readonly area: number;
  readonly ends: readonly number[];
}

/** Numbers the connected things (8 neighbours) in `cell` from 1 on. */
export function labelled(cell: Int32Array, spans: Int32Array, w: number, h: number): Labelled[] {
  const out: Labelled[] = [];
  const stack: number[] = [];
  let label = 0;
  for (let y = 1; y < h - 1; y++)
    for (let x = spans[2 * y]!; x <= spans[2 * y + 1]!; x++) {
      const first = y * w + x;
      if (cell[first] !== 0) continue;
      label++;
      let area = 0;
      const ends: number[] = [];
      cell[first] = label;
      stack.push(first);
      while (stack.length > 0) {
        const k = stack.pop()!;
        area++;
        for (let j = -w; j <= w; j += w)
          for (let i = -1; i <= 1; i++) {
            const q = k + j + i;
            if (cell[q] !== 0) continue;
            cell[q] = label;
            stack.push(q);
          }
        if (cell[k - 1] === GROUND || cell[k + 1] === GROUND) ends.push(k % w, Math.floor(k / w));
      }
      if (ends.length > 0) out.push({ label, area, ends });
    }
  return out;
}

/** Peaks of depth count as parts above this share of the deepest, and so many depths apart. */
const PART = { depth: 0.6, apart: 1.6 } as const;

/** How deep a thing's cells lie in it, in thirds of a cell, over the box round it. */
interface Depths {
  readonly depth: Int32Array;
  readonly deepest: number;
  readonly left: number;
  readonly top: number;
  readonly width: number;
}

/** By the 3-4 chamfer distance (Borgefors 1986). */
function depthsOf(cell: Int32Array, labels: readonly number[], hull: readonly number[], w: number): Depths {
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < hull.length; i += 2) {
    left = Math.min(left, hull[i]! - 1);
    right = Math.max(right, hull[i]! + 1);
    top = Math.min(top, hull[i + 1]! - 1);
    bottom = Math.max(bottom, hull[i + 1]! + 1);
  }
  const [cw, ch] = [right + 1 - left, bottom + 1 - top];
  const mine = new Set(labels);
  const depth = new Int32Array(cw * ch);
  for (let y = 1; y < ch - 1; y++)
    for (let x = 1; x < cw - 1; x++) {
      const k = y * cw + x;
      if (!mine.has(cell[(top + y) * w + left + x]!)) continue;
      depth[k] = Math.min(depth[k - 1]! + 3, depth[k - cw]! + 3, depth[k - cw - 1]! + 4, depth[k - cw + 1]! + 4);
    }
  for (let k = cw * ch - cw - 2; k > cw; k--)
    if (depth[k]! > 0)
      depth[k] = Math.min(
        depth[k]!,
        depth[k + 1]! + 3,
        depth[k + cw]! + 3,
        depth[k + cw + 1]! + 4,
        depth[k + cw - 1]! + 4,
      );
  const deepest = depth.reduce((p, q) => Math.max(p, q), 0);
  return { depth, deepest, left, top, width: cw };
}

/** Radius of the largest circle in a thing, about, cells. */
export const inradiusOf = (cell: Int32Array, labels: readonly number[], hull: readonly number[], w: number): number =>
  depthsOf(cell, labels, hull, w).deepest / 3;

/**
 * Middles of the parts that a thing seems to be made of, [x, y] each: where it is deepest, one per part.
 */
export function partMiddles(cell: Int32Array, labels: readonly number[], hull: readonly number[], w: number): number[] {
  const { depth, deepest, left, top, width: cw } = depthsOf(cell, labels, hull, w);
  const order: number[] = [];
  for (let k = 0; k < depth.length; k++) if (depth[k]! > 0 && depth[k]! >= PART.depth * deepest) order.push(k);
  order.sort((a, b) => depth[b]! - depth[a]! || a - b);
  const found: number[] = [];
  for (const k of order) {
    const [x, y] = [(k % cw) + left, Math.floor(k / cw) + top];
    let near = false;
    for (let i = 0; i < found.length; i += 2)
      near ||= Math.hypot(found[i]! - x, found[i + 1]! - y) < (PART.apart * deepest) / 3;
    if (!near) found.push(x, y);
  }
  return found;
}
