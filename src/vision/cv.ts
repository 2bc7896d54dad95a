/**
 * OpenCV as the rest of `vision` sees it: an argument `cv`, a narrow set of functions, and memory that frees itself.
 *
 * Point sets go in and come out as flat arrays `[x0, y0, x1, y1, ...]`; pictures are `Mat`s, which live in WASM memory and are
 * made by an `Arena` only. Every function that fails throws an `Error` that carries OpenCV's own message.
 */

/** Depth and channels of a `Mat`. */
export type MatType = 'u8' | 'u8x3' | 'u8x4' | 's16' | 's32' | 'f32' | 'f64';

/** Element array for a `Mat` of the type. */
export type MatData = Uint8Array | Uint8ClampedArray | Int16Array | Int32Array | Float32Array | Float64Array;

/**
 * A matrix in WASM memory, row-major, channels interleaved, rows without padding.
 *
 * The views are windows on memory that any later OpenCV call may move: read `data` again after each call, and `slice()` what
 * is to leave the arena.
 */
export interface Mat {
  readonly rows: number;
  readonly cols: number;
  readonly data: Uint8Array;
  readonly data16S: Int16Array;
  readonly data32S: Int32Array;
  readonly data32F: Float32Array;
  readonly data64F: Float64Array;
}

/** `[x0, y0, x1, y1, ...]`, px. OpenCV has whole and single-precision points only. */
export type Points = Int32Array | Float32Array;

export interface Rect {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export interface Contours {
  /** One closed chain per contour; outer ones counter-clockwise as drawn (y down), holes the other way. */
  readonly chains: readonly Int32Array[];
  /** Four numbers per chain: next, previous, first child, parent; -1 where there is none. */
  readonly hierarchy: Int32Array;
}

export type ThresholdKind = 'binary' | 'binary-inverse';

/** Names and order of arguments are OpenCV's own. A destination is made to size, and must not be the source. */
export interface Cv {
  /** Objects in WASM memory that were made and not yet freed. */
  live(): number;
  /** For `withArena` alone. Elements are zero unless `data` is given. */
  createMat(rows: number, cols: number, type: MatType, data?: MatData): Mat;
  /** For `withArena` alone. */
  freeMat(mat: Mat): void;

  cvtColor(source: Mat, destination: Mat, code: 'rgba-grey' | 'rgb-grey'): void;
  resize(source: Mat, destination: Mat, width: number, height: number, how: 'area' | 'linear'): void;
  /** @param size  Odd width of the kernel in px; 0 takes it from `sigma`. */
  GaussianBlur(source: Mat, destination: Mat, size: number, sigma: number): void;
  Sobel(source: Mat, destination: Mat, depth: 's16' | 'f32', dx: number, dy: number, size: 1 | 3 | 5 | 7): void;
  /** @returns The level used: `level`, or Otsu's where `level` is 'otsu'. */
  threshold(source: Mat, destination: Mat, level: number | 'otsu', max: number, kind: ThresholdKind): number;
  adaptiveThreshold(
    source: Mat,
    destination: Mat,
    max: number,
    mean: 'mean' | 'gaussian',
    kind: ThresholdKind,
    blockSize: number,
    offset: number,
  ): void;
  morphologyEx(
    source: Mat,
    destination: Mat,
    operation: 'erode' | 'dilate' | 'open' | 'close',
    shape: 'box' | 'ellipse',
    size: number,
  ): void;
  /**
   * @param labels     Becomes 's32', 0 = background.
   * @param stats      Becomes 's32', a row per label: left, top, width, height, area.
   * @param centroids  Becomes 'f64', a row per label: x, y.
   * @returns          Number of labels, the background included.
   */
  connectedComponentsWithStats(source: Mat, labels: Mat, stats: Mat, centroids: Mat, connectivity: 4 | 8): number;
  /** @param shortest  Chains of fewer points are left out of `chains` (an empty array stands in their place). */
  findContours(source: Mat, mode: 'external' | 'list' | 'tree', chain: 'all' | 'corners', shortest?: number): Contours;

  approxPolyDP<P extends Points>(points: P, epsilon: number, closed: boolean): P;
  convexHull<P extends Points>(points: P): P;
  /** px^2. With `oriented`, positive where the points run clockwise as drawn (y down). */
  contourArea(points: Points, oriented?: boolean): number;
  isContourConvex(points: Points): boolean;
  boundingRect(points: Points): Rect;
}

export interface Arena {
  /** An empty matrix, to be the destination of a call. */
  mat(): Mat;
  /** A matrix of zeros, or a copy of `data`. @throws {RangeError} If `data` has not rows * cols * channels elements. */
  mat(rows: number, cols: number, type: MatType, data?: MatData): Mat;
}

/**
 * Runs `use`, and frees every matrix it made through the arena, however it ends.
 *
 * `use` must be synchronous, and nothing it returns may look into a `Mat` of the arena.
 */
export function withArena<T>(cv: Cv, use: (arena: Arena) => T extends PromiseLike<unknown> ? never : T): T {
  const arena = new KeptArena(cv);
  try {
    return use(arena);
  } finally {
    arena.free();
  }
}

class KeptArena implements Arena {
  readonly #cv: Cv;
  readonly #made: Mat[] = [];

  constructor(cv: Cv) {
    this.#cv = cv;
  }

  mat(rows: number = 0, cols: number = 0, type: MatType = 'u8', data?: MatData): Mat {
    const mat = this.#cv.createMat(rows, cols, type, data);
    this.#made.push(mat);
    return mat;
  }

  free(): void {
    for (const mat of this.#made) this.#cv.freeMat(mat);
  }
}
