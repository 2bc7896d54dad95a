import type { Contours, Cv, Mat, MatData, MatType, Points, Rect, ThresholdKind } from './cv.ts';

/** The untyped module of opencv-wasm; this file is the only one that touches it. */
// eslint-disable-next-line @typescript-eslint/no-explicit-any
type Raw = any;

interface Deletable {
  delete(): void;
}

/** Makes the untyped module; the default export of the rewritten opencv-wasm. */
export type CvFactory = (options: object) => unknown;

const CHANNELS: Record<MatType, number> = { u8: 1, u8x3: 3, u8x4: 4, s16: 1, s32: 1, f32: 1, f64: 1 };

/**
 * Starts OpenCV with a memory of its own.
 *
 * @param instantiate  Instantiates the compiled WASM with the given imports, at once (`new WebAssembly.Instance`).
 */
export function openCv(factory: CvFactory, instantiate: (imports: object) => { readonly exports: object }): Cv {
  const raw = factory({
    instantiateWasm(imports: object, receive: (instance: object) => void) {
      const instance = instantiate(imports);
      receive(instance);
      return instance.exports;
    },
    // OpenCV prints each exception before throwing it; the message travels in the exception.
    print: () => undefined,
    printErr: () => undefined,
  });
  return new Door(raw);
}

class Door implements Cv {
  readonly #raw: Raw;
  #live = 0;

  constructor(raw: Raw) {
    this.#raw = raw;
  }

  live(): number {
    return this.#live;
  }

  createMat(rows: number, cols: number, type: MatType, data?: MatData): Mat {
    const length = rows * cols * CHANNELS[type];
    if (data !== undefined && data.length !== length) {
      throw new RangeError(`Mat ${rows} x ${cols} ${type}: ${length} elements needed, ${data.length} given`);
    }
    const mat = this.#made('Mat', rows, cols, this.#type(type));
    if (data === undefined) mat.data.fill(0);
    else elements(mat, type).set(data);
    return mat;
  }

  freeMat(mat: Mat): void {
    this.#free(mat);
  }

  cvtColor(source: Mat, destination: Mat, code: 'rgba-grey' | 'rgb-grey'): void {
    const raw = this.#raw;
    this.#into('cvtColor', source, destination, code === 'rgba-grey' ? raw.COLOR_RGBA2GRAY : raw.COLOR_RGB2GRAY, 0);
  }

  resize(source: Mat, destination: Mat, width: number, height: number, how: 'area' | 'linear'): void {
    const raw = this.#raw;
    const number = how === 'area' ? raw.INTER_AREA : raw.INTER_LINEAR;
    this.#into('resize', source, destination, { width, height }, 0, 0, number);
  }

  GaussianBlur(source: Mat, destination: Mat, size: number, sigma: number): void {
    const kernel = { width: size, height: size };
    this.#into('GaussianBlur', source, destination, kernel, sigma, sigma, this.#raw.BORDER_DEFAULT);
  }

  Sobel(source: Mat, destination: Mat, depth: 's16' | 'f32', dx: number, dy: number, size: 1 | 3 | 5 | 7): void {
    const raw = this.#raw;
    const type = depth === 's16' ? raw.CV_16S : raw.CV_32F;
    this.#into('Sobel', source, destination, type, dx, dy, size, 1, 0, raw.BORDER_DEFAULT);
  }

  threshold(source: Mat, destination: Mat, level: number | 'otsu', max: number, kind: ThresholdKind): number {
    const otsu = level === 'otsu';
    const type = this.#thresholdKind(kind) + (otsu ? this.#raw.THRESH_OTSU : 0);
    return this.#into('threshold', source, destination, otsu ? 0 : level, max, type);
  }

  adaptiveThreshold(
    source: Mat,
    destination: Mat,
    max: number,
    mean: 'mean' | 'gaussian',
    kind: ThresholdKind,
    blockSize: number,
    offset: number,
  ): void {
    const raw = this.#raw;
    const method = mean === 'mean' ? raw.ADAPTIVE_THRESH_MEAN_C : raw.ADAPTIVE_THRESH_GAUSSIAN_C;
    this.#into('adaptiveThreshold', source, destination, max, method, this.#thresholdKind(kind), blockSize, offset);
  }

  morphologyEx(
    source: Mat,
    destination: Mat,
    operation: 'erode' | 'dilate' | 'open' | 'close',
    shape: 'box' | 'ellipse',
    size: number,
  ): void {
    const raw = this.#raw;
    const number = raw[`MORPH_${operation.toUpperCase()}`];
    const form = shape === 'box' ? raw.MORPH_RECT : raw.MORPH_ELLIPSE;
    const centre = { x: -1, y: -1 };
    const kernel = this.#kept(this.#call('getStructuringElement', form, { width: size, height: size }, centre));
    try {
      this.#into('morphologyEx', source, destination, number, kernel, centre, 1, raw.BORDER_CONSTANT, NO_BORDER);
    } finally {
      this.#free(kernel);
    }
  }

  connectedComponentsWithStats(source: Mat, labels: Mat, stats: Mat, centroids: Mat, connectivity: 4 | 8): number {
    const type = this.#raw.CV_32S;
    return this.#into('connectedComponentsWithStats', source, labels, stats, centroids, connectivity, type);
  }

  findContours(source: Mat, mode: 'external' | 'list' | 'tree', chain: 'all' | 'corners', shortest = 1): Contours {
    const raw = this.#raw;
    const retrieval = raw[`RETR_${mode.toUpperCase()}`];
    const method = chain === 'all' ? raw.CHAIN_APPROX_NONE : raw.CHAIN_APPROX_SIMPLE;
    const vector = this.#made('MatVector');
    try {
      const tree = this.#made('Mat');
      try {
        this.#call('findContours', source, vector, tree, retrieval, method, { x: 0, y: 0 });
        const count: number = vector.size();
        const chains: Int32Array[] = [];
        for (let i = 0; i < count; i++) chains.push(this.#chain(vector, i, shortest));
        return { chains, hierarchy: count === 0 ? new Int32Array(0) : tree.data32S.slice() };
      } finally {
        this.#free(tree);
      }
    } finally {
      this.#free(vector);
    }
  }

  approxPolyDP<P extends Points>(points: P, epsilon: number, closed: boolean): P {
    return this.#mapPoints('approxPolyDP', points, epsilon, closed);
  }

  convexHull<P extends Points>(points: P): P {
    return this.#mapPoints('convexHull', points, false, true);
  }

  contourArea(points: Points, oriented = false): number {
    return this.#ofPoints('contourArea', points, oriented);
  }

  isContourConvex(points: Points): boolean {
    return this.#ofPoints('isContourConvex', points);
  }

  boundingRect(points: Points): Rect {
    return this.#ofPoints('boundingRect', points);
  }

  #chain(vector: Raw, index: number, shortest: number): Int32Array {
    const mat = this.#kept(vector.get(index));
    try {
      return mat.rows < shortest ? NO_POINTS : mat.data32S.slice();
    } finally {
      this.#free(mat);
    }
  }

  /** Points that a function of OpenCV makes of others. */
  #mapPoints<P extends Points>(name: string, points: P, ...more: readonly unknown[]): P {
    const destination = this.#made('Mat');
    try {
      this.#ofPoints(name, points, destination, ...more);
      return (points instanceof Int32Array ? destination.data32S : destination.data32F).slice() as P;
    } finally {
      this.#free(destination);
    }
  }

  /** What a function of OpenCV says of points. */
  #ofPoints(name: string, points: Points, ...more: readonly unknown[]): Raw {
    const whole = points instanceof Int32Array;
    const mat = this.#made('Mat', points.length / 2, 1, whole ? this.#raw.CV_32SC2 : this.#raw.CV_32FC2);
    try {
      (whole ? mat.data32S : mat.data32F).set(points);
      return this.#call(name, mat, ...more);
    } finally {
      this.#free(mat);
    }
  }

  #type(type: MatType): number {
    const raw = this.#raw;
    const types: Record<MatType, number> = {
      u8: raw.CV_8UC1,
      u8x3: raw.CV_8UC3,
      u8x4: raw.CV_8UC4,
      s16: raw.CV_16SC1,
      s32: raw.CV_32SC1,
      f32: raw.CV_32FC1,
      f64: raw.CV_64FC1,
    };
    return types[type];
  }

  #thresholdKind(kind: ThresholdKind): number {
    return kind === 'binary' ? this.#raw.THRESH_BINARY : this.#raw.THRESH_BINARY_INV;
  }

  /** In-place calls leak in some builds (opencv-js issue 56), so none is let through. */
  #into(name: string, source: Mat, destination: Mat, ...more: readonly unknown[]): Raw {
    if (source === destination) throw new Error('OpenCV: source and destination must be two matrices');
    return this.#call(name, source, destination, ...more);
  }

  #made(name: 'Mat' | 'MatVector', ...given: readonly unknown[]): Raw {
    try {
      return this.#kept(new this.#raw[name](...given));
    } catch (thrown) {
      throw this.#told(thrown);
    }
  }

  /** Counts an object that lives until it is freed. */
  #kept(object: Raw): Raw {
    this.#live++;
    return object;
  }

  #free(object: Mat | Deletable): void {
    (object as Deletable).delete();
    this.#live--;
  }

  /** A function of OpenCV by its name, not wrapped in one of the caller's: one that is made per call loses its machine code with each collection. */
  #call(name: string, ...given: readonly unknown[]): Raw {
    try {
      return this.#raw[name](...given);
    } catch (thrown) {
      throw this.#told(thrown);
    }
  }

  /** C++ exceptions arrive as a number (their address), an abort as text. */
  #told(thrown: unknown): Error {
    if (typeof thrown === 'number') return new Error(this.#raw.exceptionFromPtr(thrown).msg, { cause: thrown });
    if (thrown instanceof Error) return thrown;
    return new Error(`OpenCV stopped: ${String(thrown)}`, { cause: thrown });
  }
}

/** What OpenCV calls `morphologyDefaultBorderValue`: pixels beyond the border change nothing. */
const NO_BORDER = [Number.MAX_VALUE, Number.MAX_VALUE, Number.MAX_VALUE, Number.MAX_VALUE];

const NO_POINTS = new Int32Array(0);

function elements(mat: Mat, type: MatType): MatData {
  if (type === 's16') return mat.data16S;
  if (type === 's32') return mat.data32S;
  if (type === 'f32') return mat.data32F;
  return type === 'f64' ? mat.data64F : mat.data;
}
