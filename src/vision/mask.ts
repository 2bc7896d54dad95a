import { aligned, passingMemory } from './pixel-memory.ts';

/**
 * A mask of cells, 32 to a word, each row beginning a new one; cell x of a row is bit `x & 31` of its word `x >> 5`. Bits beyond the last cell of a
 * row are 0.
 */
export interface Mask {
  readonly w: number;
  readonly h: number;
  /** Words of a row. */
  readonly across: number;
  readonly bits: Int32Array;
}

const emptyMask = (w: number, h: number): Mask => {
  const across = (w + 31) >> 5;
  return { w, h, across, bits: new Int32Array(across * h) };
};

/** The cells that are not 0. */
export function maskOf(cells: Uint8Array, w: number, h: number): Mask {
  const mask = emptyMask(w, h);
  const memory = passingMemory();
  const size = 4 * mask.bits.length;
  const at = aligned(size);
  memory.reserve(at + aligned(w * h));
  memory.bytes.set(cells, at);
  memory.run.packed(0, at, w, h);
  mask.bits.set(new Int32Array(memory.bytes.buffer, 0, mask.bits.length));
  return mask;
}

/** A mask closed by a box of `2 * reach + 1` cells, `reach` below 32 (dilation and erosion; Serra 1982): what lies beyond its border changes nothing. */
export function closed(mask: Mask, reach: number): Mask {
  const wide = dilated(mask, reach);
  invert(wide);
  const out = dilated(wide, reach);
  invert(out);
  return out;
}

function dilated({ w, h, across, bits }: Mask, reach: number): Mask {
  // Rows of nothing above and below, so that all are alike.
  const wide = new Int32Array(bits.length + 2 * reach * across);
  widenRows(wide, reach * across, bits, across, reach);
  // Each row takes in those below it, twice as many in turn: each then has those that lie `reach` on both sides of the row it stands for.
  for (let have = 1, most = 2 * reach + 1; have < most;) {
    const more = Math.min(have, most - have);
    for (let k = 0, q = more * across; q < wide.length; k++, q++) wide[k]! |= wide[q]!;
    have += more;
  }
  const out = { w, h, across, bits: wide.subarray(0, bits.length) };
  clearTails(out);
  return out;
}

/** Spreads the cells of each row to both sides, into `wide` from `at` on. */
function widenRows(wide: Int32Array, at: number, bits: Int32Array, across: number, reach: number): void {
  for (let k = 0, column = 0; k < bits.length; k++, column = column + 1 === across ? 0 : column + 1) {
    const here = bits[k]!;
    const before = column > 0 ? bits[k - 1]! : 0;
    const after = column + 1 < across ? bits[k + 1]! : 0;
    if ((here | before | after) === 0) continue;
    let all = here;
    if (here !== -1)
      for (let d = 1; d <= reach; d++) all |= (here << d) | (before >>> (32 - d)) | (here >>> d) | (after << (32 - d));
    wide[at + k] = all;
  }
}

function invert(mask: Mask): void {
  const { bits } = mask;
  for (let k = 0; k < bits.length; k++) bits[k] = ~bits[k]!;
  clearTails(mask);
}

function clearTails({ w, h, across, bits }: Mask): void {
  const tail = w & 31;
  if (tail === 0) return;
  for (let y = 0; y < h; y++) bits[(y + 1) * across - 1]! &= (1 << tail) - 1;
}

/** Runs of cells, row by row from the left: row, first cell and the one after the last, three numbers each. */
function runsOf({ w, h, across, bits }: Mask): { readonly runs: Int32Array; readonly count: number } {
  let runs = new Int32Array(3 * 1024);
  let count = 0;
  for (let y = 0; y < h; y++) {
    let isIn = false;
    if (runs.length < 3 * (count + (w >> 1) + 1)) runs = grown(runs, 2 * runs.length + 3 * w);
    for (let c = 0; c < across; c++) {
      // Where cells change from the one before: each is an end of a run.
      const here = bits[y * across + c]!;
      let changes = here ^ ((here << 1) | (isIn ? 1 : 0));
      while (changes !== 0) {
        const x = 32 * c + 31 - Math.clz32(changes & -changes);
        changes &= changes - 1;
        if (isIn) runs[3 * count++ + 2] = x;
        else {
          runs[3 * count] = y;
          runs[3 * count + 1] = x;
        }
        isIn = !isIn;
      }
    }
    if (isIn) runs[3 * count++ + 2] = w;
  }
  return { runs, count };
}

function grown(list: Int32Array, length: number): Int32Array<ArrayBuffer> {
  const out = new Int32Array(length);
  out.set(list);
  return out;
}

/** What hangs together in a mask, corner to corner too. */
export interface Parts {
  /** Runs of cells, row by row from the left: row, first cell and the one after the last, three numbers each. */
  readonly runs: Int32Array;
  /** Part of each run. */
  readonly of: Int32Array;
  /** Cells of each part. */
  readonly areas: readonly number[];
  /** Where each part begins, by pairs of rows from the top and pairs of cells from the left: no two begin in one place. */
  readonly first: readonly number[];
}

/** Parts that hang together, by uniting runs of neighbouring rows. Source: He, Chao and Suzuki 2008 (runs), Tarjan 1975 (uniting). */
export function partsIn(mask: Mask): Parts {
  const { runs, count } = runsOf(mask);
  const roots = new Int32Array(count);
  for (let k = 0, above = 0; k < count; k++) {
    const [y, from, to] = [runs[3 * k]!, runs[3 * k + 1]!, runs[3 * k + 2]!];
    roots[k] = k;
    while (runs[3 * above]! < y - 1 || (runs[3 * above]! === y - 1 && runs[3 * above + 2]! < from)) above++;
    for (let j = above; runs[3 * j] === y - 1 && runs[3 * j + 1]! <= to; j++) unite(roots, j, k);
  }
  return numbered(runs, roots);
}

function unite(roots: Int32Array, a: number, b: number): void {
  const [p, q] = [rootOf(roots, a), rootOf(roots, b)];
  if (p < q) roots[q] = p;
  else roots[p] = q;
}

function rootOf(roots: Int32Array, k: number): number {
  while (roots[k] !== k) {
    roots[k] = roots[roots[k]!]!;
    k = roots[k]!;
  }
  return k;
}

/** More pairs of cells than any row has. */
const PAIRS = 2 ** 20;

function numbered(runs: Int32Array, roots: Int32Array): Parts {
  const of = new Int32Array(roots.length);
  const first: number[] = [];
  const areas: number[] = [];
  for (let k = 0; k < roots.length; k++) {
    const root = rootOf(roots, k);
    const part = root === k ? areas.length : of[root]!;
    const place = (runs[3 * k]! >> 1) * PAIRS + (runs[3 * k + 1]! >> 1);
    of[k] = part;
    first[part] = Math.min(first[part] ?? Infinity, place);
    areas[part] = (areas[part] ?? 0) + runs[3 * k + 2]! - runs[3 * k + 1]!;
  }
  return { runs, of, areas, first };
}
