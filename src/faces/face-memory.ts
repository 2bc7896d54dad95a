import { compiledModule, growTo, instanceOf, type ModuleMemory } from '../formats/assembled-module.ts';
import { SRGB } from '../vision/tone.ts';
import { FACES_MODULE } from './faces-module.ts';

/** Parts of a fixed place, and what of `assembly/faces` each is told in; see its `layout.ts`. */
type Part =
  | 'COLOURS'
  | 'HELD_MASK'
  | 'HELD_VALUE'
  | 'HELD_WHOLE'
  | 'LIGHT'
  | 'MASK'
  | 'MOMENTS'
  | 'PAIRS'
  | 'PARAMETERS'
  | 'RESULTS'
  | 'ROOM'
  | 'SMOOTH'
  | 'SQUARES'
  | 'TERMS'
  | 'VALUE'
  | 'WHOLE';

interface Exports extends Readonly<Record<Part, { readonly value: number }>> {
  readonly memory: ModuleMemory;
  /** Zero where the crop does not hold the face. */
  sampled(
    size: number,
    samples: number,
    channels: number,
    row: number,
    crop: number,
    mask: number,
    out: number,
    places: number,
  ): number;
  gridded(size: number, light: number, mask: number, sub: number, left: number, top: number, step: number): void;
  takeBackdrop(half: number, times: number, off: number, least: number): void;
  colourSums(): void;
  alongWay(up: number, x: number, y: number, z: number): void;
  skinSums(every: number, told: boolean): void;
  skinSquares(): void;
  smoothed(): void;
  circleSums(smooth: boolean, x: number, y: number, reach: number): void;
  reduced(light: number, mask: number, places: number, cells: number, needed: number): void;
  smoothSums(cells: number, count: number): void;
  takeSmooth(cells: number, count: number): void;
  drawnIn(cells: number, rim: number): void;
  correlation(first: number, list: number, count: number, second: number, shift: number, needed: number): number;
  spread(size: number, mask: number, by: number, grow: boolean, between: number, out: number): void;
  listed(size: number, colours: number, mask: number, luma: number, stride: number, list: number, room: number): number;
  departed(list: number, room: number, count: number): number;
  within(list: number, room: number, count: number, limit: number): number;
  surfaceSums(list: number, room: number, count: number, limit: number): void;
  takeSurface(size: number, mask: number, luma: number): void;
  softened(size: number, mask: number, values: number, out: number): void;
  departedIn(values: number, list: number, room: number, count: number): number;
  turnedPatch(side: number, x: number, y: number, c: number, s: number, mean: number, scale: number, out: number): void;
}

/** Every place handed out is a multiple of so many bytes. */
const ALIGNED = 16;

/** `assembly/faces` and its memory, which grows with what is looked at: an array seen of it holds until the next one is asked for. */
export class FaceMemory {
  readonly run = instanceOf<Exports>(compiledModule(FACES_MODULE));
  /** The pixels that lie at the beginning of what has no fixed place. */
  #held: Uint8Array | Uint8ClampedArray | null = null;
  #free = aligned(this.run.ROOM.value);

  constructor() {
    // In single precision, kept in double.
    const light = Float64Array.from({ length: 256 }, (_, v) => Math.fround(SRGB.toLight(v)));
    this.numbers('LIGHT', light.length).set(light);
  }

  /** The first parameters become these. */
  tell(...parameters: readonly number[]): void {
    this.numbers('PARAMETERS', parameters.length).set(parameters);
  }

  /** Where some pixels lie: they are copied where they are not those of the last call. They must not change as long as anybody asks for them. */
  hold(pixels: Uint8Array | Uint8ClampedArray): number {
    const { value } = this.run.ROOM;
    if (this.#held === pixels) return value;
    growTo(this.run.memory, value + pixels.length);
    this.bytes(value, pixels.length).set(pixels);
    this.#held = pixels;
    this.#free = aligned(value + pixels.length);
    return value;
  }

  /** Where there is room for so many bytes until the next call, behind the pixels that are held. */
  room(bytes: number): number {
    growTo(this.run.memory, this.#free + bytes);
    return this.#free;
  }

  bytes(at: number | Part, length: number): Uint8Array {
    return new Uint8Array(this.run.memory.buffer, this.#placeOf(at), length);
  }

  floats(at: number | Part, length: number): Float32Array {
    return new Float32Array(this.run.memory.buffer, this.#placeOf(at), length);
  }

  numbers(at: number | Part, length: number): Float64Array {
    return new Float64Array(this.run.memory.buffer, this.#placeOf(at), length);
  }

  integers(at: number | Part, length: number): Int32Array {
    return new Int32Array(this.run.memory.buffer, this.#placeOf(at), length);
  }

  #placeOf(at: number | Part): number {
    return typeof at === 'number' ? at : this.run[at].value;
  }
}

const aligned = (bytes: number): number => Math.ceil(bytes / ALIGNED) * ALIGNED;

let made: FaceMemory | undefined;

/** One for each thread, made at the first call. */
export const faceMemory = (): FaceMemory => (made ??= new FaceMemory());
