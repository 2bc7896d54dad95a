import { compiledModule, growTo, instanceOf, type ModuleMemory } from '../formats/assembled-module.ts';
import { PIXELS_MODULE } from './pixels-module.ts';

/** Functions of `assembly/pixels`; addresses in bytes. */
interface Exports {
  readonly memory: ModuleMemory;
  darker(
    out: number,
    grey: number,
    columns: number,
    sums: number,
    width: number,
    height: number,
    top: number,
    y: number,
    end: number,
    reach: number,
    least: number,
  ): void;
  greenRow(out: number, upper: number, lower: number, count: number, channels: number, factor: number): void;
  sumRow(
    red: number,
    green: number,
    blue: number,
    upper: number,
    lower: number,
    count: number,
    across: number,
    right: number,
  ): void;
  gradients(out: number, red: number, green: number, blue: number, rows: number, w: number, h: number): void;
  above(out: number, squares: number, count: number, level: number): void;
  smoothPlane(plane: number, w: number, h: number, lines: number): void;
  smooth(data: number, half: number, line: number, kernel: number, reach: number, w: number, h: number): void;
  products(out: number, apart: number, data: number, w: number, h: number): void;
  weighted(
    sums: number,
    from: number,
    apart: number,
    w: number,
    first: number,
    last: number,
    top: number,
    end: number,
    x: number,
    y: number,
    wxx: number,
    wxy: number,
    wyy: number,
  ): void;
  compared(
    sums: number,
    data: number,
    w: number,
    left: number,
    up: number,
    first: number,
    last: number,
    top: number,
    end: number,
    x: number,
    y: number,
    wxx: number,
    wxy: number,
    wyy: number,
  ): void;
  opened(core: number, solid: number, distance: number, line: number, w: number, h: number, radius: number): void;
  packed(out: number, cells: number, w: number, h: number): void;
  rowsBeside(rows: number, edge: number, x0: number, x1: number, y0: number, y1: number): void;
  beside(
    counts: number,
    dark: number,
    light: number,
    lumas: number,
    bins: number,
    edge: number,
    rows: number,
    y0: number,
    y1: number,
    channels: number,
  ): void;
  addBinned(sums: number, bins: number, lumas: number, count: number): void;
  middling(out: number, steps: number, below: number, list: number, count: number): number;
  countBelow(list: number, count: number, level: number): number;
}

/** What lanes may reach beyond the end of what they read or write, bytes. */
const ROOM_BEHIND = 64;

/** So many bytes, the room behind them, and what is left to the next lane's start. */
export const aligned = (bytes: number): number => (bytes + ROOM_BEHIND + 15) & ~15;

/** The functions over a memory of their own, which grows with what is asked for and never shrinks. */
export class PixelMemory {
  readonly run: Exports;
  bytes!: Uint8Array<ArrayBuffer>;
  words!: Int32Array<ArrayBuffer>;
  floats!: Float32Array<ArrayBuffer>;
  doubles!: Float64Array<ArrayBuffer>;

  constructor(module: object) {
    this.run = instanceOf(module);
    this.#look();
  }

  /** Makes it so large at least, bytes; views looked up before are empty where it had to grow. */
  reserve(bytes: number): void {
    if (growTo(this.run.memory, bytes)) this.#look();
  }

  #look(): void {
    const { buffer } = this.run.memory;
    this.bytes = new Uint8Array(buffer);
    this.words = new Int32Array(buffer);
    this.floats = new Float32Array(buffer);
    this.doubles = new Float64Array(buffer);
  }
}

let compiled: object | undefined;

/** A memory for what stays from call to call. */
export const newMemory = (): PixelMemory => new PixelMemory((compiled ??= compiledModule(PIXELS_MODULE)));

let made: PixelMemory | undefined;

/** One for each thread, for what is worked out within a call: nothing in it outlives that. */
export const passingMemory = (): PixelMemory => (made ??= newMemory());
