import { compiledModule, growTo, instanceOf, type ModuleMemory } from '../formats/assembled-module.ts';
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
  LEVELS: 8,
  SOLVED: 35,
  SHARES: 80,
  DEPTH_WEIGHTS: 180,
  FIRST_DEPTHS: 18,
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

/** Lists of the band round an outline, see `assembly/edges/room.ts`. */
type List = 'XY' | 'NORMAL' | 'CURVATURE' | 'OF' | 'START' | 'S' | 'Y' | 'SHOWN' | 'INSIDE' | 'OUTSIDE';

interface Exports extends Readonly<
  Record<Part | List | 'GRID' | 'INSIDE_KEPT' | 'OUTSIDE_KEPT', { readonly value: number }>
> {
  readonly memory: ModuleMemory;
  lay(samples: number, segments: number, pixels: number): number;
  claim(
    samples: number,
    every: number,
    left: number,
    top: number,
    width: number,
    height: number,
    inside: number,
    outside: number,
  ): number;
  group(total: number, segments: number, left: number, top: number, width: number, channels: number): void;
  levels(from: number, to: number, deep: number, gap: number): void;
  takePixels(from: number, to: number, bend: number): void;
  forgetResiduals(): void;
  keepResiduals(count: number, gap: number): void;
  upperMedian(list: number, count: number): number;
  profile(
    value: number,
    asked: number,
    reach: number,
    sharp: number,
    colour: number,
    beside: number,
    beyond: boolean,
  ): void;
  place(grid: number, table: number): void;
  takeCurves(): void;
  settle(count: number, looks: number, inward: number, outward: number): number;
  factored(): number;
  solveChanges(changes: number): void;
  accumulate(count: number, robust: boolean, keep: boolean): number;
  withChanges(count: number, changes: number): number;
}

/** The module's functions, and its memory part by part; what was looked up holds until room is made for a larger band. */
export type EdgeMemory = Readonly<Record<Part, Float64Array>> & { readonly run: Exports };

let run: Exports | undefined;
let made: EdgeMemory | undefined;

/** One for each thread, made at the first call: a page that measures nothing does not wait for it. */
export const edgeMemory = (): EdgeMemory => (made ??= newEdgeMemory());

function newEdgeMemory(): EdgeMemory {
  run ??= instanceOf<Exports>(compiledModule(EDGES_MODULE));
  const { buffer } = run.memory;
  const parts = {} as Record<Part, Float64Array>;
  for (const part of Object.keys(PARTS) as Part[]) parts[part] = new Float64Array(buffer, run[part].value, PARTS[part]);
  parts.PARAMETERS.set(LUMA, PARAMETER.luma);
  return { ...parts, run };
}

/** Makes it so large at least, bytes; what was looked up before is empty where it had to grow. */
export function growEdgeMemory(bytes: number): void {
  if (growTo(edgeMemory().run.memory, bytes)) made = undefined;
}
