/** A connected part of a mask: its label, its box (reduced px) and how large that is. */
export interface Part {
  readonly label: number;
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
  readonly x: number;
  readonly y: number;
  readonly size: number;
}

/** What is left of a part once its holes are filled and what is thin (a hair, a line, a speck that touches it) is taken off. */
export interface SolidPart {
  /** Ends of each row's runs, [x, y] each. */
  readonly ends: readonly number[];
  readonly area: number;
  /** The same of what was taken off, specks apart. */
  readonly off: readonly number[];
}

/** What is thinner than this many times the square root of a solid's area is no part of a die; and at least this, reduced px. */
export const THIN = { share: 0.16, least: 8 } as const;
/** What was taken off is a speck where it has fewer cells. */
const SPECK = 24;

/**
 * The solid core of a part: filled, opened by a disc (erosion and dilation; Serra 1982), its largest piece.
 *
 * @param isStage  Whether a hole whose cells are given looks like the bare stage: a ring on the stage encloses nothing.
 */
export function solidPart(
  labels: ArrayLike<number>,
  across: number,
  part: Part,
  isStage: (cells: readonly number[]) => boolean,
): SolidPart {
  const W = part.width + 2;
  const H = part.height + 2;
  const place = (k: number): number => (part.top + Math.floor(k / W) - 1) * across + part.left + (k % W) - 1;
  const solid = new Uint8Array(W * H);
  for (let y = 1; y < H - 1; y++)
    for (let x = 1, k = y * W + 1, p = place(k); x < W - 1; x++, k++, p++) if (labels[p] === part.label) solid[k] = 1;
  const area = filled(solid, W, H, (cells) => isStage(cells.map(place)));
  const thin = Math.max(THIN.least, THIN.share * Math.sqrt(area)) / 2;
  const opened = largest(openedBy(solid, W, H, thin), W, H);
  const endsOf = (cells: readonly number[], is: Uint8Array): number[] =>
    cells.flatMap((k) => (is[k - 1] && is[k + 1] ? [] : [part.left + (k % W) - 1, part.top + Math.floor(k / W) - 1]));
  const rest = solid.map((v, k) => (v && !opened.is[k] ? 1 : 0));
  const off = piecesOf(rest, W, H).flatMap((cells) => (cells.length < SPECK ? [] : endsOf(cells, rest)));
  return { ends: endsOf(opened.cells, opened.is), area: opened.cells.length, off };
}

/** Fills the holes that do not look like the stage; returns the area. */
function filled(solid: Uint8Array, W: number, H: number, isStage: (cells: readonly number[]) => boolean): number {
  const seen = new Uint8Array(solid);
  flood(seen, W, H, 0);
  let area = 0;
  for (let k = 0; k < solid.length; k++) {
    if (seen[k] === 0) {
      const hole = flood(seen, W, H, k);
      if (!isStage(hole)) for (const c of hole) solid[c] = 1;
    }
    area += solid[k]!;
  }
  return area;
}

/** Cells that hang together with one and are 0; they become 1. */
function flood(seen: Uint8Array, W: number, H: number, from: number): number[] {
  const out = [from];
  const reach = (n: number): void => {
    if (seen[n] !== 0) return;
    seen[n] = 1;
    out.push(n);
  };
  seen[from] = 1;
  const last = W * (H - 1);
  for (let i = 0; i < out.length; i++) {
    const k = out[i]!;
    const x = k % W;
    if (x > 0) reach(k - 1);
    if (x < W - 1) reach(k + 1);
    if (k >= W) reach(k - W);
    if (k < last) reach(k + W);
  }
  return out;
}

/** Opened by a disc of a radius, cells. */
function openedBy(solid: Uint8Array, W: number, H: number, radius: number): Uint8Array {
  const inside = distances(solid, W, H, 0);
  const core = new Uint8Array(W * H);
  for (let k = 0; k < core.length; k++) core[k] = inside[k]! > radius ? 1 : 0;
  const off = distances(core, W, H, 1);
  for (let k = 0; k < core.length; k++) core[k] = solid[k] && off[k]! <= radius ? 1 : 0;
  return core;
}

/** Distance of each cell to the next cell of a value, about: steps of 1 and 4/3. Source: Borgefors 1986, chamfer 3-4. */
function distances(mask: Uint8Array, W: number, H: number, value: number): Float32Array {
  const far = W + H;
  // Framed by a cell on each side, so that no neighbour has to be looked for.
  const across = W + 2;
  const d = new Float32Array(across * (H + 2)).fill(value === 0 ? 1 : far);
  for (let y = 0, k = 0; y < H; y++)
    for (let x = 0, q = across * (y + 1) + 1; x < W; x++, k++, q++) d[q] = mask[k] === value ? 0 : far;
  swept(d, W, H, across, 1);
  swept(d, W, H, across, -1);
  const out = new Float32Array(W * H);
  for (let y = 0; y < H; y++) out.set(d.subarray(across * (y + 1) + 1, across * (y + 1) + 1 + W), y * W);
  return out;
}

const SLANT = 4 / 3;

/** One pass over a framed field, onwards (1) or back (-1): each cell from the four behind it. */
function swept(d: Float32Array, W: number, H: number, across: number, way: 1 | -1): void {
  for (let j = 0; j < H; j++)
    for (let i = 0, q = across * (way > 0 ? j + 1 : H - j) + (way > 0 ? 1 : W); i < W; i++, q += way) {
      let least = d[q]!;
      if (least === 0) continue;
      const row = q - way * across;
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

/** Cells that hang together, piece by piece. */
function piecesOf(mask: Uint8Array, W: number, H: number): number[][] {
  const left = new Uint8Array(mask.length);
  for (let k = 0; k < left.length; k++) left[k] = 1 - mask[k]!;
  const out: number[][] = [];
  for (let k = 0; k < left.length; k++) if (!left[k]) out.push(flood(left, W, H, k));
  return out;
}

function largest(mask: Uint8Array, W: number, H: number): { cells: number[]; is: Uint8Array } {
  let cells: number[] = [];
  for (const piece of piecesOf(mask, W, H)) if (piece.length > cells.length) cells = piece;
  const is = new Uint8Array(mask.length);
  for (const k of cells) is[k] = 1;
  return { cells, is };
}
