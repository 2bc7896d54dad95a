import { compiledModule, instanceOf, type ModuleMemory } from './assembled-instance.ts';
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
}

const PAGE = 65536;

/** What lanes may reach beyond the end of what they read or write, bytes. */
export const ROOM_BEHIND = 64;

/** The functions over a memory of their own, which grows with what is asked for and never shrinks. */
export class PixelMemory {
  readonly run: Exports;
  bytes!: Uint8Array<ArrayBuffer>;

  constructor(module: object) {
    this.run = instanceOf(module);
    this.#look();
  }

  /** Makes it so large at least, bytes; views looked up before are empty where it had to grow. */
  reserve(bytes: number): void {
    const missing = bytes - this.bytes.length;
    if (missing <= 0) return;
    this.run.memory.grow(Math.ceil(missing / PAGE));
    this.#look();
  }

  #look(): void {
    this.bytes = new Uint8Array(this.run.memory.buffer);
  }
}

let compiled: object | undefined;
const newMemory = (): PixelMemory => new PixelMemory((compiled ??= compiledModule(PIXELS_MODULE)));

let made: PixelMemory | undefined;

/** One for each thread, for what is worked out within a call: nothing in it outlives that. */
export const passingMemory = (): PixelMemory => (made ??= newMemory());
