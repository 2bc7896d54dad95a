/**
 * Code of layers that are fed what the layer below cut at 0. Two thirds and more of that is 0, and a 0 times a weight leaves a sum as it is, to
 * the last bit: what is not 0 is listed once, in its order, and only that is multiplied.
 */
import {
  bytes,
  get,
  I32,
  lane,
  LANES,
  load,
  loadSplat,
  loadWhole,
  loop,
  moved,
  num,
  OP,
  set,
  store,
  storeWhole,
  until,
  V128,
  withLocals,
} from './code.ts';

/** Bytes of what is listed: the number, and how far from the first one's weights its own lie. */
export const LISTED = 8;

/** Most columns at a time: their sums, half as many weights and the number itself stay in the sixteen registers that machines have. */
const WIDEST = 32;

/** Columns at a time that code is made for. */
export const WIDTHS: readonly number[] = [8, 16, 24, 32];

/** How so many columns, a multiple of 8, are parted; the widest first. */
export function widthsOf(columns: number): number[] {
  const out: number[] = [];
  const parts = Math.ceil(columns / WIDEST);
  for (let left = columns, k = parts; k > 0; k--) {
    const width = 8 * Math.ceil(left / k / 8);
    out.push(width);
    left -= width;
  }
  return out;
}

/**
 * Code of the list of what is not 0 in so many places of `count` numbers, a multiple of 4; `heads` tells where the list has each place's, and at last
 * its end. Parameters from places count row heads list; `row` are the bytes of a number's weights.
 */
export function listCode(): number[] {
  const [from, places, count, row, heads, list, off, place, c] = [0, 1, 2, 3, 4, 5, 6, 7, 8];
  const head = [...get(heads), ...get(list), ...storeWhole(0)];
  const one = (at: number): number[] => [
    ...[...get(list), ...get(from), ...loadWhole(at), ...storeWhole(0)],
    ...[...get(list), ...get(off), ...storeWhole(4)],
    // Without a branch: which numbers are 0 cannot be foreseen. Both zeros are.
    ...moved(list, [...get(from), ...loadWhole(at), ...num(1), OP.shl, ...num(0), OP.differ, ...num(3), OP.shl]),
    ...moved(off, get(row)),
  ];
  const four = [
    ...[...get(from), ...load(0), ...lane(LANES.any), OP.if, 0x40],
    ...[0, 4, 8, 12].flatMap(one),
    ...[OP.else, ...moved(off, bytes(get(row))), OP.end],
    ...moved(from, num(16)),
  ];
  return withLocals(
    [3, I32],
    [...loop(place, places, 1, [...head, ...moved(heads, num(4)), ...loop(c, count, 4, four)]), ...head],
  );
}

/**
 * Code of `width` columns of a layer: each of `m` rows becomes the larger of `floor` and the sum of the offsets and what is listed of the row times
 * its weights. A row is `lines` pieces of the list: `kernel` heads long and `side` apart, the first from the head on that `rows` tells. Parameters m
 * rows lines kernel side heads place line row b c offsets floor: the weights of a place over 4, of a line and of a number, in bytes; and where the
 * columns begin in the weights, in what comes out, and in the offsets.
 */
export function listedCode(width: number): number[] {
  const [m, rows, lines, kernel, side, heads, place, line, row, b, c, offsets, floor] = [
    0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12,
  ];
  const [i, l, head, weights, first, p, end, at] = [13, 14, 15, 16, 17, 18, 19, 20];
  const [least, one, sums] = [21, 22, 23];
  const columns = Array.from({ length: width / 4 }, (_, h) => h);
  const product = [
    ...[...get(p), ...loadSplat(0), ...set(one)],
    ...[...get(first), ...get(p), ...loadWhole(4), OP.add, ...set(at)],
    ...columns.flatMap((h) => [
      ...[...get(sums + h), ...get(one), ...get(at), ...load(16 * h), ...lane(LANES.mul)],
      ...[...lane(LANES.add), ...set(sums + h)],
      // Never left here. A way out makes compilers add up what stands before it: they load all weights first else, and have no registers for them.
      ...(h % 4 === 3 ? [...get(end), ...get(p), OP.less, OP.again, 1] : []),
    ]),
    ...moved(p, num(LISTED)),
  ];
  const piece = [
    // The list tells weights from the first place of all on, not from the piece's first.
    ...[...get(weights), ...get(head), ...get(heads), OP.sub, ...get(place), OP.mul, OP.sub, ...set(first)],
    ...[...get(head), ...loadWhole(0), ...set(p), ...get(head), ...get(kernel), OP.add, ...loadWhole(0), ...set(end)],
    ...until(p, end, product),
    ...[...moved(head, get(side)), ...moved(weights, get(line))],
  ];
  return withLocals(
    [8, I32, 2 + columns.length, V128],
    [
      ...[...get(floor), ...lane(LANES.floats), ...set(least)],
      ...loop(i, m, 1, [
        ...columns.flatMap((h) => [...get(offsets), ...load(16 * h), ...set(sums + h)]),
        ...[...get(rows), ...loadWhole(0), ...set(head), ...moved(rows, num(4))],
        ...[...get(b), ...set(weights), ...loop(l, lines, 1, piece)],
        ...columns.flatMap((h) => [
          ...[...get(c), ...get(sums + h), ...get(least), ...lane(LANES.most), ...store(16 * h)],
        ]),
        ...moved(c, get(row)),
      ]),
    ],
  );
}
