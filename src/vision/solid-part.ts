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

/** Room for the cells of a field, kept from call to call. */
const roomOf = (cells: number) => ({
  solid: new Uint8Array(cells),
  core: new Uint8Array(cells),
  seen: new Uint8Array(cells),
  reached: new Int32Array(cells),
  distance: new Float32Array(cells),
});
let room = roomOf(0);

/** The solid core of a part: filled, opened by a disc (erosion and dilation; Serra 1982), its largest piece. A ring on the stage encloses nothing. */
export function solidPart(part: Part, stage: Stage): SolidPart {
  const field = { W: part.width + 2, H: part.height + 2, left: part.left - 1, top: part.top - 1 };
  const { W, H } = field;
  if (room.solid.length < W * H) room = roomOf(W * H);
  const { solid, core } = room;
  fillRuns(solid, part.runs, field);
  const filledArea = fillHoles(field, stage);
  open(field, Math.max(THIN.least, THIN.share * Math.sqrt(filledArea)) / 2);
  const area = keepLargest(core, field);
  const ends: number[] = [];
  addEnds(core, field, ends);
  for (let k = 0; k < W * H; k++) if (core[k] === 1) solid[k] = 0;
  clearSpecks(solid, field);
  const off: number[] = [];
  addEnds(solid, field, off);
  return { ends, area, off };
}

function fillRuns(solid: Uint8Array, runs: readonly number[], { W, H, left, top }: Field): void {
  solid.fill(0, 0, W * H);
  for (let k = 0; k < runs.length; k += 3) {
    const row = (runs[k]! - top) * W - left;
    solid.fill(1, row + runs[k + 1]!, row + runs[k + 2]!);
  }
}

/** Ends of each row's runs. */
function addEnds(is: Uint8Array, { W, H, left, top }: Field, out: number[]): void {
  for (let y = 1; y < H - 1; y++)
    for (let x = 1, k = y * W + 1; x < W - 1; x++, k++)
      if (is[k] === 1 && (is[k - 1] === 0 || is[k + 1] === 0)) out.push(left + x, top + y);
}

/** Fills the holes that do not look like the stage; returns the area. */
function fillHoles({ W, H, left, top }: Field, stage: Stage): number {
  const { solid, seen, reached } = room;
  for (let k = 0; k < W * H; k++) seen[k] = solid[k]!;
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
  let area = 0;
  for (let k = 0; k < W * H; k++) {
    if (seen[k] === 0) {
      const hole = reached.subarray(0, flood(k, W));
      if (!stage.isBare(hole, W, left, top)) for (const c of hole) solid[c] = 1;
    }
    area += solid[k]!;
  }
  return area;
}

/** Cells that hang together with one, side by side, and are not seen; they become so, and are `reached`. Returns how many; none may lie on the frame. */
function flood(from: number, W: number): number {
  const { seen, reached } = room;
  reached[0] = from;
  seen[from] = 1;
  let count = 1;
  for (let i = 0; i < count; i++) {
    const k = reached[i]!;
    for (let side = 0; side < 4; side++) {
      const n = side === 0 ? k - 1 : side === 1 ? k + 1 : side === 2 ? k - W : k + W;
      if (seen[n] !== 0) continue;
      seen[n] = 1;
      reached[count++] = n;
    }
  }
  return count;
}

/** The core becomes the solid opened by a disc of a radius, cells. */
function open({ W, H }: Field, radius: number): void {
  const { solid, core, distance } = room;
  measureDistances(solid, W, H, 0);
  for (let k = 0; k < W * H; k++) core[k] = distance[k]! > radius ? 1 : 0;
  measureDistances(core, W, H, 1);
  for (let k = 0; k < W * H; k++) core[k] = solid[k] === 1 && distance[k]! <= radius ? 1 : 0;
}

/** Distance of each cell inside the frame to the next cell of a value, about: steps of 1 and 4/3. Source: Borgefors 1986, chamfer 3-4. */
function measureDistances(mask: Uint8Array, W: number, H: number, value: number): void {
  const { distance } = room;
  const far = W + H;
  for (let k = 0; k < W * H; k++) distance[k] = mask[k] === value ? 0 : far;
  sweep(distance, W, H, 1);
  sweep(distance, W, H, -1);
}

const SLANT = 4 / 3;

/** One pass over a field inside its frame, onwards (1) or back (-1): each cell from the four behind it. */
function sweep(d: Float32Array, W: number, H: number, way: 1 | -1): void {
  for (let j = 1; j < H - 1; j++)
    for (let i = 1, q = W * (way > 0 ? j : H - 1 - j) + (way > 0 ? 1 : W - 2); i < W - 1; i++, q += way) {
      let least = d[q]!;
      if (least === 0) continue;
      const row = q - way * W;
      const beside = d[q - way]! + 1;
      const above = d[row]! + 1;
      const left = d[row - 1]! + SLANT;
      const right = d[row + 1]! + SLANT;
      if (beside < least) least = beside;
      if (above < least) least = above;
      if (left < least) least = left;
      if (right < least) least = right;
      d[q] = least;
    }
}

/** Leaves the largest piece that hangs together, of several as large the first; returns its area. */
function keepLargest(is: Uint8Array, { W, H }: Field): number {
  const { seen, reached } = room;
  let [most, from, pieces] = [0, 0, 0];
  for (let k = 0; k < W * H; k++) seen[k] = 1 - is[k]!;
  for (let k = 0; k < W * H; k++) {
    if (seen[k] !== 0) continue;
    const count = flood(k, W);
    if (count > most) [most, from] = [count, k];
    pieces++;
  }
  if (pieces < 2) return most;
  for (let k = 0; k < W * H; k++) seen[k] = 1 - is[k]!;
  is.fill(0, 0, W * H);
  const count = flood(from, W);
  for (let i = 0; i < count; i++) is[reached[i]!] = 1;
  return most;
}

function clearSpecks(is: Uint8Array, { W, H }: Field): void {
  const { seen, reached } = room;
  for (let k = 0; k < W * H; k++) seen[k] = 1 - is[k]!;
  for (let k = 0; k < W * H; k++) {
    if (seen[k] !== 0) continue;
    const count = flood(k, W);
    if (count < SPECK) for (let i = 0; i < count; i++) is[reached[i]!] = 0;
  }
}
