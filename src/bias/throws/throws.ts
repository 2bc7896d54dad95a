import { compiledModule, instanceOf } from '../../formats/assembled-module.ts';
import { principalAxes } from '../die/principal-axes.ts';
import type { Hand, Table } from './tables.ts';
import type { ThrowBody } from './throw-body.ts';
import { THROWS_MODULE } from './throws-module.ts';

/** Standard gravity, mm/s^2 (ISO 80000-3). */
export const GRAVITY = 9806.65;
/** Throws made by one call of the module. */
const AT_ONCE = 2000;

/** One throw that has been decided. */
export interface Throw {
  /** Face that lies down. */
  readonly face: number;
  /** From the first touch until no way out is left, s. */
  readonly time: number;
  /** Horizontal way in that time, mm. */
  readonly path: number;
  readonly impacts: number;
  readonly steps: number;
  /** Largest rise of the energy from one impact to the next, as a share of it; 0 if it never rose. */
  readonly energyGain: number;
  /** False where the die still moved after 20000 steps and the face below was taken. */
  readonly settled: boolean;
}

/** Throws `first` to `first + count - 1` of the run with this seed, one after the other; both are 32-bit integers. */
export type Thrower = (seed: number, first: number, count: number) => Iterable<Throw>;

/** What `assembly/throws` exports; addresses in bytes. */
interface ThrowModule {
  readonly memory: { readonly buffer: ArrayBuffer };
  /** Where what is thrown is written, 26 numbers. */
  setup(): number;
  /** Makes room; returns where balls, faces and passes are written, one after the other. */
  room(balls: number, faces: number, throws: number): number;
  throwBlock(seed: number, first: number, count: number): void;
  /** Where each throw is told by eight numbers: face, whether it settled, time, path, impacts, steps, gain. */
  results(): number;
}

let compiled: object | null = null;

/**
 * A thrower of one body: throw `index` of a run is always the same, on every machine and whatever is thrown beside it.
 *
 * A rigid body on a rigid plane. Flight is exact between contacts; impacts follow Chatterjee and Ruina (J. Appl. Mech. 65, 1998).
 * A throw is decided when its energy is below the lowest pass out of the face it lies over. All this stands in `assembly/throws`.
 */
export function thrower(body: ThrowBody, table: Table, hand: Hand): Thrower {
  compiled ??= compiledModule(THROWS_MODULE);
  const module = instanceOf<ThrowModule>(compiled);
  const at = module.room(body.balls.length / 4, body.passes.length, AT_ONCE) / 8;
  const memory = new Float64Array(module.memory.buffer);
  const { moments, axes } = principalAxes(body.inertia);
  memory.set(setupOf(body, table, hand, moments, axes), module.setup() / 8);
  const along = rowsAlong(axes);
  memory.set(along(body.balls), at);
  memory.set(along(body.faces), at + body.balls.length);
  memory.set(
    body.passes.map((p) => p * GRAVITY),
    at + body.balls.length + body.faces.length,
  );
  const results = module.results() / 8;
  return function* (seed, first, count) {
    for (let done = 0; done < count; done += AT_ONCE) {
      const now = Math.min(AT_ONCE, count - done);
      module.throwBlock(seed, first + done, now);
      // Another run of this thrower may begin before this one is read to its end.
      const told = memory.slice(results, results + 8 * now);
      for (let o = 0; o < told.length; o += 8) yield throwAt(told, o);
    }
  };
}

/** In the order of `assembly/throws/state.ts`. */
const setupOf = (
  body: ThrowBody,
  table: Table,
  hand: Hand,
  moments: Float64Array,
  axes: Float64Array,
): readonly number[] => [
  ...[table.e, table.mu, table.fade, table.et],
  ...[hand.height[0], hand.height[1] - hand.height[0], ...hand.along, ...hand.up],
  ((body.inertia[0] + body.inertia[1] + body.inertia[2]) / 3) * hand.spin,
  ...moments.map((m) => 1 / m),
  ...[body.steadyTurn, body.reach, ...axes],
  Math.max(...body.passes) * GRAVITY,
];

/** Rows [x, y, z, r] with their places along the principal axes. */
const rowsAlong =
  (axes: Float64Array) =>
  (rows: Float64Array): Float64Array =>
    rows.map((r, i) => {
      const k = i & 3;
      if (k === 3) return r;
      const o = i - k;
      return axes[3 * k] * rows[o] + axes[3 * k + 1] * rows[o + 1] + axes[3 * k + 2] * rows[o + 2];
    });

const throwAt = (told: Float64Array, o: number): Throw => ({
  face: told[o],
  settled: told[o + 1] === 1,
  time: told[o + 2],
  path: told[o + 3],
  impacts: told[o + 4],
  steps: told[o + 5],
  energyGain: told[o + 6],
});
