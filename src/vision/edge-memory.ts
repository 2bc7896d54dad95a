import { compiledModule, instanceOf } from '../formats/assembled-module.ts';
import { EDGES_MODULE } from './edges-module.ts';
import { LUMA } from './picture.ts';

/** Parts of `assembly/edges`'s memory that are written or read here, and how many numbers each has; see its `layout.ts`. */
const PARTS = {
  PARAMETERS: 21,
  LOCAL: 5,
  MATRIX: 121,
  GRADIENT: 11,
  TONE: 4097,
  KERNEL: 152,
  SHARP: 96,
  COLOUR_SOFT: 96,
  STEP: 73,
  VALUE: 73,
  RAISED: 73,
  CHANGES: 480,
  RAW: 240,
  BEYOND_RAW: 160,
  BESIDE: 37,
  PIXELS: 3 * 1024,
  SEEN_PIXELS: 12 * 1024,
  BELIEFS: 5,
  FACTOR: 25,
} as const;
type Part = keyof typeof PARTS;

/** Places of single parameters among them. */
export const PARAMETER = {
  inside: 0,
  outside: 3,
  mirror: 6,
  rough: 7,
  limb: 8,
  shade: 9,
  open: 10,
  sharpening: 11,
  blur: 12,
  plane: 13,
  luma: 16,
  variances: 19,
} as const;

/** Numbers from one grid to the next, of one pixel that is looked at, and of what is seen of it. */
export const GRID = 80;
export const PIXEL = 3;
export const SEEN = 12;
/** Where the middle of a blur's weights stands. */
export const KERNEL_MIDDLE = 76;

/** What was seen of a pixel, see `assembly/edges/look.ts`. */
export const [RESIDUAL, F, WEIGHT, SLOPE, SI, SO] = [0, 4, 6, 7, 8, 9] as const;

interface Exports extends Readonly<Record<Part | 'GRID', { readonly value: number }>> {
  readonly memory: { readonly buffer: ArrayBuffer };
  profile(
    value: number,
    asked: number,
    reach: number,
    sharp: number,
    colour: number,
    beside: number,
    beyond: boolean,
  ): void;
  takeCurves(): void;
  settle(count: number, looks: number, inward: number, outward: number): number;
  factored(): number;
  accumulate(count: number, robust: boolean, keep: boolean): number;
  withChanges(count: number, changes: number): number;
}

/** The module's functions, and its memory part by part; it never grows, so what was looked up once stays where it is. */
export type EdgeMemory = Readonly<Record<Part, Float64Array>> & { readonly run: Exports };

let made: EdgeMemory | undefined;

/** One for each thread, made at the first call: a page that measures nothing does not wait for it. */
export const edgeMemory = (): EdgeMemory => (made ??= newEdgeMemory());

function newEdgeMemory(): EdgeMemory {
  const run = instanceOf<Exports>(compiledModule(EDGES_MODULE));
  const parts = Object.entries(PARTS).map(([part, length]) => [
    part,
    new Float64Array(run.memory.buffer, run[part as Part].value, length),
  ]);
  const memory = { ...(Object.fromEntries(parts) as Record<Part, Float64Array>), run };
  memory.PARAMETERS.set(LUMA, PARAMETER.luma);
  return memory;
}
