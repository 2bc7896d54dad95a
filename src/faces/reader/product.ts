/**
 * Products of matrices, in WebAssembly's 128-bit lanes: ten times as fast as the same loops in plain code, and the same to the last bit
 * everywhere. The module is put together here, byte by byte, so that nothing needs a compiler.
 */
import {
  bytes,
  F32,
  get,
  I32,
  lane,
  LANES,
  load,
  loop,
  moved,
  num,
  OP,
  section,
  set,
  store,
  unsigned,
  V128,
  withLocals,
} from './code.ts';
import { listCode, listedCode, LISTED, WIDTHS, widthsOf } from './listed.ts';

interface Memory {
  readonly buffer: ArrayBuffer;
}

/** What is used of WebAssembly: hosts have it, the language's own library does not name it. */
declare const WebAssembly: {
  readonly Memory: new (pages: { readonly initial: number }) => Memory;
  readonly Module: new (code: Uint8Array) => object;
  readonly Instance: new (module: object, given: object) => { readonly exports: Readonly<Record<string, unknown>> };
};

const FOUR = [0, 1, 2, 3];

/** Sums of four rows and eight columns: locals of the rows' and the columns' addresses, of the sums, and three to work with. */
interface Block {
  readonly pa: readonly number[];
  readonly pb: number;
  readonly sum: (row: number, half: number) => number;
  readonly work: readonly [left: number, right: number, one: number];
}

/** Adds one number of each row times the eight of a column's row, and goes on to the next; `n` is the local of B's width. */
const step = ({ pa, pb, sum, work: [left, right, one] }: Block, n: number): number[] => [
  ...[...get(pb), ...load(0), ...set(left), ...get(pb), ...load(16), ...set(right)],
  ...FOUR.flatMap((r) => [
    ...[...get(pa[r]!), ...lane(LANES.splat), 2, 0, ...set(one)],
    ...[left, right].flatMap((x, h) => [
      ...[...get(sum(r, h)), ...get(one), ...get(x)],
      ...[...lane(LANES.mul), ...lane(LANES.add), ...set(sum(r, h))],
    ]),
    ...moved(pa[r]!, num(4)),
  ]),
  ...moved(pb, bytes(get(n))),
];

/** Code of: C [m x n] += A [m x k] B [k x n], four rows and eight columns at a time. Parameters m n k a b c, the last three byte addresses. */
function productCode(): number[] {
  const [m, n, k, a, b, c, i, j, t, pb, pc] = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10];
  const sums: Block = { pa: [11, 12, 13, 14], pb: pb!, sum: (r, h) => 15 + 2 * r + h, work: [23, 24, 25] };
  const rowOf = (r: number, width: number): number[] => [...get(i!), ...num(r), OP.add, ...get(width), OP.mul];
  const cell = (r: number): number[] => [...get(c!), ...bytes([...rowOf(r, n!), ...get(j!), OP.add]), OP.add];
  const block = [
    ...FOUR.flatMap((r) => [0, 1].flatMap((h) => [...cell(r), ...load(16 * h), ...set(sums.sum(r, h))])),
    ...FOUR.flatMap((r) => [...get(a!), ...bytes(rowOf(r, k!)), OP.add, ...set(sums.pa[r]!)]),
    ...[...get(b!), ...bytes(get(j!)), OP.add, ...set(pb!)],
    ...loop(t!, k!, 1, step(sums, n!)),
    ...FOUR.flatMap((r) => [
      ...[...cell(r), ...set(pc!)],
      ...[0, 1].flatMap((h) => [...get(pc!), ...get(sums.sum(r, h)), ...store(16 * h)]),
    ]),
  ];
  return withLocals([9, I32, 11, V128], loop(i!, m!, 4, loop(j!, n!, 8, block)));
}

/**
 * Code of a layer: C [m x n] = the larger of `floor` and offsets [n] + A B, where a row of A is `lines` runs of `run` numbers, `skip` bytes
 * between them, from where `rows` says. Parameters m n run lines skip rows b c offsets floor; sums as those of {@link productCode}, in its order.
 */
function layerCode(): number[] {
  const [m, n, run, lines, skip, rows, b, c, offsets, floor] = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9];
  const [i, j, t, line, pb, pc] = [10, 11, 12, 13, 14, 15];
  const sums: Block = { pa: [16, 17, 18, 19], pb: pb!, sum: (r, h) => 20 + 2 * r + h, work: [28, 29, 30] };
  const least = 31;
  const column = (from: number): number[] => [...get(from), ...bytes(get(j!)), OP.add];
  const cell = (r: number): number[] => [...[...get(i!), ...num(r), OP.add, ...get(n!), OP.mul, ...get(j!), OP.add]];
  const block = [
    ...FOUR.flatMap((r) => [0, 1].flatMap((h) => [...column(offsets!), ...load(16 * h), ...set(sums.sum(r, h))])),
    ...FOUR.flatMap((r) => [
      ...[...get(rows!), ...bytes([...get(i!), ...num(r), OP.add]), OP.add],
      ...[OP.load, 2, 0, ...set(sums.pa[r]!)],
    ]),
    ...[...column(b!), ...set(pb!)],
    ...loop(line!, lines!, 1, [
      ...loop(t!, run!, 1, step(sums, n!)),
      ...FOUR.flatMap((r) => moved(sums.pa[r]!, get(skip!))),
    ]),
    ...FOUR.flatMap((r) => [
      ...[...get(c!), ...bytes(cell(r)), OP.add, ...set(pc!)],
      ...[0, 1].flatMap((h) => [
        ...[...get(pc!), ...get(sums.sum(r, h)), ...get(least), ...lane(LANES.most), ...store(16 * h)],
      ]),
    ]),
  ];
  return withLocals(
    [10, I32, 12, V128],
    [...get(floor!), ...lane(LANES.floats), ...set(least), ...loop(i!, m!, 4, loop(j!, n!, 8, block))],
  );
}

/** Code of: each place [n] of `to` is the largest of 2 x 2 of `from`, whose lines are twice as long. Parameters lines side n from to. */
function halfCode(): number[] {
  const [lines, side, n, from, to, y, x, c, wide] = [0, 1, 2, 3, 4, 5, 6, 7, 8];
  const line = [...get(wide!), ...get(side!), OP.mul, ...num(1), OP.shl];
  const next = [
    ...[...get(from!), ...load(0), ...get(from!), ...get(wide!), OP.add, ...load(0), ...lane(LANES.most)],
    ...[...get(from!), ...line, OP.add, ...load(0), ...lane(LANES.most)],
    ...[...get(from!), ...line, OP.add, ...get(wide!), OP.add, ...load(0), ...lane(LANES.most), ...set(9)],
    ...[...get(to!), ...get(9), ...store(0), ...moved(to!, num(16)), ...moved(from!, num(16))],
  ];
  const place = [...loop(c!, n!, 4, next), ...moved(from!, get(wide!))];
  return withLocals(
    [4, I32, 1, V128],
    [...bytes(get(n!)), ...set(wide!), ...loop(y!, lines!, 1, [...loop(x!, side!, 1, place), ...moved(from!, line)])],
  );
}

/** A letter for the code of so many columns. */
function nameOf(width: number): string {
  return String.fromCharCode(0x41 + width / 8);
}

/** The functions: name, kinds of their parameters, code. */
const FUNCTIONS: readonly (readonly [name: string, given: readonly number[], code: () => number[]])[] = [
  ['p', Array<number>(6).fill(I32), productCode],
  ['l', [...Array<number>(9).fill(I32), F32], layerCode],
  ['h', Array<number>(5).fill(I32), halfCode],
  ['k', Array<number>(6).fill(I32), listCode],
  ...WIDTHS.map((width) => [nameOf(width), [...Array<number>(12).fill(I32), F32], () => listedCode(width)] as const),
];

const list = (parts: readonly (readonly number[])[]): number[] => [...unsigned(parts.length), ...parts.flat()];

/** The module, put together when it is first needed. */
let known: object | null = null;
function codeModule(): object {
  return (known ??= new WebAssembly.Module(
    Uint8Array.from([
      ...[0, 0x61, 0x73, 0x6d, 1, 0, 0, 0],
      ...section(1, list(FUNCTIONS.map(([, given]) => [0x60, given.length, ...given, 0]))),
      ...section(2, [1, 1, 0x65, 1, 0x6d, 2, 0, ...unsigned(0)]),
      ...section(3, list(FUNCTIONS.map((_, k) => [k]))),
      ...section(7, list(FUNCTIONS.map(([name], k) => [1, name.charCodeAt(0), 0, k]))),
      ...section(
        10,
        list(
          FUNCTIONS.map(([, , code]) => {
            const body = code();
            return [...unsigned(body.length), ...body];
          }),
        ),
      ),
    ]),
  ));
}

interface Exports {
  readonly p: (m: number, n: number, k: number, a: number, b: number, c: number) => void;
  readonly l: (...given: readonly number[]) => void;
  readonly h: (lines: number, side: number, n: number, from: number, to: number) => void;
  readonly k: (from: number, places: number, count: number, row: number, heads: number, list: number) => void;
  /** By {@link nameOf} a width. */
  readonly [listed: string]: (...given: number[]) => void;
}

/** Rows of a product that are not written out: `lines` runs of `run` numbers each, `skip` numbers apart, from the byte addresses `starts` on. */
export interface Rows {
  readonly run: number;
  readonly lines: number;
  readonly skip: number;
  readonly starts: Int32Array;
}

/**
 * Rows of a product of which only what is not 0 is multiplied: what is listed of `places` places of `count` numbers each, as the heads tell. A row is
 * `lines` times so many places as the kernel is wide, `side` places apart, from the place on whose head's byte address stands in `rows`.
 */
export interface ListedRows {
  readonly places: number;
  readonly count: number;
  readonly heads: Int32Array;
  readonly list: Int32Array;
  readonly rows: Int32Array;
  readonly lines: number;
  readonly kernel: number;
  readonly side: number;
}

/** Memory of the products: arrays are handed out of it and never given back. */
export class Products {
  readonly #memory: Memory;
  readonly #run: Exports;
  #used = 16;

  /** @param floats Room for so many numbers altogether. */
  constructor(floats: number) {
    this.#memory = new WebAssembly.Memory({ initial: Math.ceil((floats * 4 + 64) / 65536) + 1 });
    this.#run = new WebAssembly.Instance(codeModule(), { e: { m: this.#memory } }).exports as unknown as Exports;
  }

  /** Zeros of its own inside the memory. */
  array(length: number): Float32Array {
    return new Float32Array(this.#memory.buffer, this.#taken(length), length);
  }

  /** The same for whole numbers. */
  addresses(length: number): Int32Array {
    return new Int32Array(this.#memory.buffer, this.#taken(length), length);
  }

  #taken(length: number): number {
    const at = this.#used;
    this.#used += Math.ceil(length / 4) * 16;
    return at;
  }

  /** C += A B; m a multiple of 4, n of 8, all arrays from `array`. */
  add(m: number, n: number, k: number, a: Float32Array, b: Float32Array, c: Float32Array): void {
    divides(m, n);
    this.#run.p(m, n, k, a.byteOffset, b.byteOffset, c.byteOffset);
  }

  /** C = the larger of `floor` and offsets + A B, row for row; sizes and arrays as for `add`. */
  layer(
    { run, lines, skip, starts }: Rows,
    b: Float32Array,
    offsets: Float32Array,
    floor: number,
    c: Float32Array,
  ): void {
    const [m, n] = [starts.length, offsets.length];
    divides(m, n);
    const [rows, to] = [starts.byteOffset, c.byteOffset];
    this.#run.l(m, n, run, lines, 4 * skip, rows, b.byteOffset, to, offsets.byteOffset, floor);
  }

  /** Rows of so many numbers each, listed; see {@link ListedRows}. */
  listedRows(
    places: number,
    count: number,
    shape: Pick<ListedRows, 'lines' | 'kernel' | 'side'>,
    first: readonly number[],
  ): ListedRows {
    const heads = this.addresses(places + 1);
    const list = this.addresses((places * count + 1) * (LISTED / 4));
    const rows = this.addresses(first.length);
    for (let r = 0; r < first.length; r++) rows[r] = heads.byteOffset + 4 * first[r]!;
    return { places, count, heads, list, rows, ...shape };
  }

  /** The same as `layer`, of numbers of which many are 0 and none is infinite. */
  listedLayer(
    from: Float32Array,
    { places, count, heads, list, rows, lines, kernel, side }: ListedRows,
    b: Float32Array,
    offsets: Float32Array,
    floor: number,
    c: Float32Array,
  ): void {
    divides(count, offsets.length);
    const row = offsets.byteLength;
    this.#run.k(from.byteOffset, places, count, row, heads.byteOffset, list.byteOffset);
    const given = [rows.length, rows.byteOffset, lines, 4 * kernel, 4 * side, heads.byteOffset];
    const weights = [(count * row) / 4, kernel * count * row, row];
    let at = 0;
    for (const width of widthsOf(offsets.length)) {
      const columns = [b, c, offsets].map((a) => a.byteOffset + at);
      this.#run[nameOf(width)]!(...given, ...weights, ...columns, floor);
      at += 4 * width;
    }
  }

  /** Each place of `to`, `n` numbers, a multiple of 4, becomes the largest of 2 x 2 of `from`: `lines` lines of `side` places. */
  halve(lines: number, side: number, n: number, from: Float32Array, to: Float32Array): void {
    this.#run.h(lines, side, n, from.byteOffset, to.byteOffset);
  }
}

function divides(m: number, n: number): void {
  if (m % 4 !== 0 || n % 8 !== 0) throw new RangeError(`product of ${m} x ${n}: multiples of 4 and 8 needed`);
}
