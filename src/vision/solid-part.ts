import { aligned, passingMemory } from './pixel-memory.ts';

/** A connected part of a mask: its box (reduced px), how large that is, and its runs: row, first cell and the one after the last, three numbers each, in order. */
export interface Part {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly x: number;
  readonly y: number;
  readonly size: number;
  readonly runs: readonly number[];
}

/** What is left of a part once its holes are filled and what is thin (a hair, a line, a speck that touches it) is taken off. */
export interface SolidPart {
  /** Ends of each row's runs, [x, y] each, row by row. */
  readonly ends: readonly number[];
  readonly area: number;
  /** The same of what was taken off, specks apart. */
  readonly off: readonly number[];
}

/** What tells the bare stage. */
export interface Stage {
  /** Whether cells look like it. Their places are counted in a window `across` wide, whose first cell lies at (left, top). */
  isBare(cells: Int32Array, across: number, left: number, top: number): boolean;
}

/** What is thinner than this many times the square root of a solid's area is no part of a die; and at least this, reduced px. */
export const THIN = { share: 0.16, least: 8 } as const;
/** What was taken off is a speck where it has fewer cells. */
const SPECK = 24;

/** A part's box and one cell more on each side. */
interface Field {
  readonly W: number;
  readonly H: number;
  readonly left: number;
  readonly top: number;
}

/** Room for the cells of a field, kept from call to call: what is 0 or 1 stands in words of four cells too. */
const roomOf = (cells: number) => {
  const flags = (): Uint8Array => new Uint8Array(4 * Math.ceil(cells / 4));
  const [solid, core, seen] = [flags(), flags(), flags()];
  return { solid, core, seen, reached: new Int32Array(cells) };
};
const fours = ({ buffer }: Uint8Array, cells: number): Int32Array => new Int32Array(buffer, 0, Math.ceil(cells / 4));
let room = roomOf(0);

/** The solid core of a part: filled, opened by a disc (erosion and dilation; Serra 1982), its largest piece. A ring on the stage encloses nothing. */
export function solidPart(part: Part, stage: Stage): SolidPart {
  const field = { W: part.width + 2, H: part.height + 2, left: part.left - 1, top: part.top - 1 };
  const { W, H } = field;
  if (room.solid.length < W * H) room = roomOf(W * H);
  const [solid, core] = [room.solid.subarray(0, W * H), room.core.subarray(0, W * H)];
  fillRuns(solid, part.runs, field);
  const filledArea = areaOf(part.runs) + fillHoles(field, stage);
  open(field, Math.max(THIN.least, THIN.share * Math.sqrt(filledArea)) / 2);
  const area = keepLargest(core, field);
  const ends: number[] = [];
  addEnds(core, field, ends);
  const [beside, taken] = [fours(solid, W * H), fours(core, W * H)];
  for (let n = 0; n < beside.length; n++) beside[n]! &= ~taken[n]!;
  clearSpecks(solid, field);
  const off: number[] = [];
  addEnds(solid, field, off);
  return { ends, area, off };
}

function fillRuns(solid: Uint8Array, runs: readonly number[], { W, left, top }: Field): void {
  solid.fill(0);
  for (let k = 0; k < runs.length; k += 3) {
    const row = (runs[k]! - top) * W - left;
    solid.fill(1, row + runs[k + 1]!, row + runs[k + 2]!);
  }
}

function areaOf(runs: readonly number[]): number {
  let area = 0;
  for (let k = 0; k < runs.length; k += 3) area += runs[k + 2]! - runs[k + 1]!;
  return area;
}

/** Ends of each row's runs; none reaches the frame. */
function addEnds(is: Uint8Array, { W, left, top }: Field, out: number[]): void {
  for (let first = is.indexOf(1); first >= 0;) {
    const beyond = is.indexOf(0, first);
    const y = Math.floor(first / W);
    out.push(left + first - y * W, top + y);
    if (beyond - 1 > first) out.push(left + beyond - 1 - y * W, top + y);
    first = is.indexOf(1, beyond);
  }
}

/** Fills the holes that do not look like the stage; returns how many cells these have. */
function fillHoles({ W, H, left, top }: Field, stage: Stage): number {
  const { solid, reached } = room;
  const seen = room.seen.subarray(0, W * H);
  seen.set(solid.subarray(0, W * H));
  // Nothing goes round the frame: what lies inside it is flooded from all cells along it.
  for (let x = 0, last = W * (H - 1); x < W; x++) seen[x] = seen[last + x] = 1;
  for (let y = 0; y < H; y++) seen[y * W] = seen[y * W + W - 1] = 1;
  for (let x = 1; x < W - 1; x++) {
    if (seen[W + x] === 0) flood(W + x, W);
    if (seen[W * (H - 2) + x] === 0) flood(W * (H - 2) + x, W);
  }
  for (let y = 1; y < H - 1; y++) {
    if (seen[y * W + 1] === 0) flood(y * W + 1, W);
    if (seen[y * W + W - 2] === 0) flood(y * W + W - 2, W);
  }
  let filled = 0;
  for (let k = seen.indexOf(0); k >= 0; k = seen.indexOf(0, k)) {
    const hole = reached.subarray(0, flood(k, W));
    if (stage.isBare(hole, W, left, top)) continue;
    for (let i = 0; i < hole.length; i++) solid[hole[i]!] = 1;
    filled += hole.length;
  }
  return filled;
}

/** Cells that hang together with one, side by side, and are not seen; they become so, and are `reached`. Returns how many; none may lie on the frame. */
function flood(from: number, W: number): number {
  const { seen, reached } = room;
  let count = reach(seen, reached, from, 0);
  for (let i = 0; i < count; i++) {
    const k = reached[i]!;
    count = reach(seen, reached, k - 1, count);
    count = reach(seen, reached, k + 1, count);
    count = reach(seen, reached, k - W, count);
    count = reach(seen, reached, k + W, count);
  }
  return count;
}

/** Reaches a cell that is not seen yet; returns how many are reached then. */
function reach(seen: Uint8Array, reached: Int32Array, k: number, count: number): number {
  if (seen[k] !== 0) return count;
  seen[k] = 1;
  reached[count] = k;
  return count + 1;
}

/** The core becomes the solid opened by a disc of a radius, cells. */
function open({ W, H }: Field, radius: number): void {
  const memory = passingMemory();
  const cells = aligned(W * H);
  const line = 6 * cells;
  memory.reserve(line + aligned(4 * W));
  const { bytes, run } = memory;
  bytes.set(room.solid.subarray(0, W * H), cells);
  run.opened(0, cells, 2 * cells, line, W, H, radius);
  room.core.set(bytes.subarray(0, W * H));
}

/** Leaves the largest piece that hangs together, of several as large the first; returns its area. */
function keepLargest(is: Uint8Array, { W }: Field): number {
  const { reached } = room;
  let [most, from, pieces] = [0, 0, 0];
  const seen = seenBut(is);
  for (let k = seen.indexOf(0); k >= 0; k = seen.indexOf(0, k)) {
    const count = flood(k, W);
    if (count > most) [most, from] = [count, k];
    pieces++;
  }
  if (pieces < 2) return most;
  seenBut(is);
  is.fill(0);
  const count = flood(from, W);
  for (let i = 0; i < count; i++) is[reached[i]!] = 1;
  return most;
}

function clearSpecks(is: Uint8Array, { W }: Field): void {
  const { reached } = room;
  const seen = seenBut(is);
  for (let k = seen.indexOf(0); k >= 0; k = seen.indexOf(0, k)) {
    const count = flood(k, W);
    if (count < SPECK) for (let i = 0; i < count; i++) is[reached[i]!] = 0;
  }
}

/** All cells are seen but those that are 1. */
function seenBut(is: Uint8Array): Uint8Array {
  const [from, to] = [fours(is, is.length), fours(room.seen, is.length)];
  for (let n = 0; n < to.length; n++) to[n] = from[n]! ^ 0x01010101;
  return room.seen.subarray(0, is.length);
}
