import { compiledModule, growTo, instanceOf, type ModuleMemory } from '../formats/assembled-module.ts';
import type { SeenBalls } from '../geometry/hull.ts';
import { FITS_MODULE } from './fits-module.ts';

/** Functions of `assembly/fits`; addresses in bytes. */
interface Exports {
  readonly memory: ModuleMemory;
  readonly BALLS_X: { readonly value: number };
  readonly MOST_BALLS: { readonly value: number };
  readonly ROOM: { readonly value: number };
  readonly SUM: { readonly value: number };
  heldContacts(
    count: number,
    balls: number,
    rays: number,
    first: number,
    second: number,
    normal: number,
    distance: number,
    share: number,
    open: number,
  ): number;
  sumStretches(
    count: number,
    cut: number,
    n: number,
    stretches: number,
    stretch: number,
    index: number,
    value: number,
    residual: number,
    sigma: number,
    sums: number,
  ): void;
  takeOutStretches(
    n: number,
    stretches: number,
    sums: number,
    variances: number,
    used: number,
    a: number,
    g: number,
  ): void;
  addRows(
    count: number,
    cut: number,
    n: number,
    index: number,
    value: number,
    residual: number,
    sigma: number,
    terms: number,
    a: number,
    g: number,
  ): void;
}

/** Derivatives that a row has room for: 2 balls x (3 faces + 1 corner) or a face and its crown for a cap, base face and its crown, x, y, yaw, and the grazed face's crown. */
export const WIDTH = 14;

/** More points and stretches than most outlines have, and more parameters than most sets. */
const USUAL = { points: 512, parameters: 64, stretches: 64 } as const;
const BYTES = 8;
/** Balls that are looked at side by side. */
const LANES = 4;
/** Numbers of a point: its derivatives, two of their places in each, its residual, sigma and term of the cost, and its stretch. */
const NUMBERS = WIDTH + WIDTH / 2 + 4;
/** Numbers of a stretch beside its derivatives: sums of weights and residuals, and its variance. */
const OF_STRETCH = 3;

/** `assembly/fits` and what it works on: rows of one outline, and sums over them. What is seen of it holds until more room is asked for. */
export class FitMemory {
  private readonly run = instanceOf<Exports>(compiledModule(FITS_MODULE));
  index = new Int32Array(0);
  value = new Float64Array(0);
  residual = new Float64Array(0);
  sigma = new Float64Array(0);
  terms = new Float64Array(0);
  /** The stretch of each point, and the variances of the stretches' own offsets, px^2. */
  stretch = new Int32Array(0);
  variances = new Float64Array(0);
  /** Normal equations, row-major, and their right side. */
  a = new Float64Array(0);
  g = new Float64Array(0);
  readonly #most = this.run.MOST_BALLS.value;
  #sum = new Float64Array(0);
  /** x of all balls, then y, z and radii. */
  #balls = new Float64Array(0);
  #points = 0;
  #parameters = 0;
  #stretches = 0;
  /** Sums of stretches, and room for the parameters of one; bytes. */
  #sums = 0;
  #used = 0;

  constructor() {
    this.#lay(USUAL.points, USUAL.parameters, USUAL.stretches);
  }

  /** Room for the rows of so many points. */
  holdRows(points: number): void {
    if (points > this.#points) this.#lay(points, this.#parameters, this.#stretches);
  }

  /** Room for sums of so many parameters over the rows of outlines of so many points and stretches at most; they begin at 0. */
  holdSums(points: number, parameters: number, stretches: number): void {
    if (points > this.#points || parameters > this.#parameters || stretches > this.#stretches)
      this.#lay(
        Math.max(points, this.#points),
        Math.max(parameters, this.#parameters),
        Math.max(stretches, this.#stretches),
      );
    if (this.g.length !== parameters) {
      const { buffer } = this.run.memory;
      this.a = new Float64Array(buffer, this.a.byteOffset, parameters * parameters);
      this.g = new Float64Array(buffer, this.g.byteOffset, parameters);
    }
    this.a.fill(0);
    this.g.fill(0);
  }

  /** Takes balls over, with the points of crowns behind them; returns how many, or 0 where these are too many. */
  setBalls({ count, centres, radii, crowns }: SeenBalls): number {
    const all = count + (crowns?.count ?? 0);
    if (all + LANES > this.#most) return 0;
    this.#sum.fill(0);
    this.#addBalls(centres, count, 0);
    const at = 3 * this.#most;
    for (let k = 0; k < count; k++) this.#balls[at + k] = radii[k]!;
    if (crowns) this.#addBalls(crowns.points, crowns.count, count);
    // Points have no radius, and what stands beyond the last ball, looked at beside it, reaches nowhere.
    this.#balls.fill(0, at + count, at + all);
    this.#balls.fill(-Infinity, at + all, at + all + LANES);
    return all;
  }

  #addBalls(places: Float64Array, count: number, from: number): void {
    const [balls, sum, most] = [this.#balls, this.#sum, this.#most];
    for (let k = 0, o = 0, to = from; k < count; k++, o += 3, to++) {
      const x = places[o]!;
      const y = places[o + 1]!;
      const z = places[o + 2]!;
      balls[to] = x;
      balls[most + to] = y;
      balls[2 * most + to] = z;
      sum[0]! += x;
      sum[1]! += y;
      sum[2]! += z;
    }
  }

  /**
   * Contacts of rays with the balls set last, where those guessed carry them and no other comes near. Where rows are made, they pass through.
   *
   * @param guesses  The first ball of each contact, then the second.
   * @param out      Three numbers of the normal per ray, then the distances, then the shares; of the others old numbers.
   * @returns  How many others there are: they are listed in `open`.
   */
  heldContacts(balls: number, rays: Float64Array, guesses: Int32Array, out: Float64Array): number {
    const count = guesses.length / 2;
    const { value, index } = this;
    value.set(rays);
    index.set(guesses);
    const from = value.byteOffset + BYTES * rays.length;
    const places = index.byteOffset;
    const open = this.run.heldContacts(
      count,
      balls,
      value.byteOffset,
      places,
      places + 4 * count,
      from,
      from + 3 * BYTES * count,
      from + 4 * BYTES * count,
      places + 8 * count,
    );
    out.set(value.subarray(rays.length, rays.length + 5 * count));
    return open;
  }

  /** Adds so many of the rows to the sums, the lower triangle alone; what of each row's cost the logarithm is taken of goes into `terms`. */
  addRows(count: number, cut: number): void {
    const { run, index, value, residual, sigma, terms, a, g } = this;
    run.addRows(
      count,
      cut,
      g.length,
      index.byteOffset,
      value.byteOffset,
      residual.byteOffset,
      sigma.byteOffset,
      terms.byteOffset,
      a.byteOffset,
      g.byteOffset,
    );
  }

  /**
   * Takes so many stretches out of the sums that the last rows were added to; their variances stand in `variances`, and what that takes off the cost
   * stands there then.
   */
  takeOutStretches(count: number, stretches: number, cut: number): void {
    const { run, index, value, residual, sigma, stretch, variances, a, g } = this;
    const n = g.length;
    run.sumStretches(
      count,
      cut,
      n,
      stretches,
      stretch.byteOffset,
      index.byteOffset,
      value.byteOffset,
      residual.byteOffset,
      sigma.byteOffset,
      this.#sums,
    );
    run.takeOutStretches(n, stretches, this.#sums, variances.byteOffset, this.#used, a.byteOffset, g.byteOffset);
  }

  #lay(points: number, parameters: number, stretches: number): void {
    const { run } = this;
    const sums = parameters * parameters;
    const at = run.ROOM.value;
    const ofStretches = (OF_STRETCH + parameters) * stretches;
    growTo(run.memory, at + BYTES * (NUMBERS * points + sums + 2 * parameters + ofStretches));
    const { buffer } = run.memory;
    const width = BYTES * points;
    this.value = new Float64Array(buffer, at, WIDTH * points);
    this.residual = new Float64Array(buffer, at + WIDTH * width, points);
    this.sigma = new Float64Array(buffer, at + (WIDTH + 1) * width, points);
    this.terms = new Float64Array(buffer, at + (WIDTH + 2) * width, points);
    this.stretch = new Int32Array(buffer, at + (WIDTH + 3) * width, points);
    this.index = new Int32Array(buffer, at + (WIDTH + 4) * width, WIDTH * points);
    this.a = new Float64Array(buffer, at + NUMBERS * width, sums);
    this.g = new Float64Array(buffer, at + NUMBERS * width + BYTES * sums, parameters);
    this.#used = this.g.byteOffset + BYTES * parameters;
    this.variances = new Float64Array(buffer, this.#used + BYTES * parameters, stretches);
    this.#sums = this.variances.byteOffset + BYTES * stretches;
    this.#stretches = stretches;
    this.#sum = new Float64Array(buffer, run.SUM.value, 3);
    this.#balls = new Float64Array(buffer, run.BALLS_X.value, 4 * this.#most);
    this.#points = points;
    this.#parameters = parameters;
  }
}

let made: FitMemory | undefined;

/** One for each thread, made at the first call. */
export const fitMemory = (): FitMemory => (made ??= new FitMemory());
