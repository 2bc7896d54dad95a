import { GRAZING_DEPTHS, RIM_DEPTHS } from '../geometry/inward-rays.ts';
import { INNER, placed } from './depth-cells.ts';
import { GRID, type EdgeMemory } from './edge-memory.ts';
import { limbTerm, mirrorShare, roughShare } from './reflectance.ts';

/** What lies below a segment by depth. */
export interface Depths {
  /** px inside the outline; null where they are {@link RIM_DEPTHS}. */
  readonly depths: Float64Array | null;
  /** Cosines of incidence. */
  readonly cosines: Float64Array;
  /** How many times as bright as the stage just outside what is mirrored is; null where alike. */
  readonly mirrored: Float64Array | null;
}

/** Most depths of one segment: those beside a face seen edge-on, and what higher crowns add. */
const MOST_DEPTHS = GRAZING_DEPTHS.length + 8;
/** Shares by depth where they are not {@link RIM_DEPTHS}: mirror, rough and limb; polished and rough of what is mirrored beyond. */
const ownShares = new Float64Array(5 * MOST_DEPTHS);
const placedShares = new Float64Array(INNER);
/** What a polished and a rough surface mirror, by depth. */
const mirrors = new Float64Array(MOST_DEPTHS);
const roughs = new Float64Array(MOST_DEPTHS);

/** Rim terms by depth against the deepest place, averaged over grid cells; cell i reaches from i H to (i + 1) H inside the outline. */
export function rimTerms(memory: EdgeMemory, { depths, cosines }: Depths): void {
  const [to, stride] = depths ? [ownShares, MOST_DEPTHS] : [memory.SHARES, RIM_DEPTHS.length];
  const last = cosines.length - 1;
  for (let k = 0; k <= last; k++) {
    mirrors[k] = mirrorShare(cosines[k]!);
    roughs[k] = roughShare(cosines[k]!);
  }
  const [mirror, rough, limb] = [mirrors[last]!, roughs[last]!, limbTerm(cosines[last]!)];
  for (let k = 0; k <= last; k++) {
    to[k] = (mirrors[k]! - mirror) / (1 - mirror);
    to[stride + k] = (roughs[k]! - rough) / (1 - rough);
    to[2 * stride + k] = limbTerm(cosines[k]!) - limb;
  }
  for (let t = 0; t < 3; t++) placeInto(memory, 'RAW', t, t, depths);
}

/**
 * What the rim mirrors is brighter or darker than the stage just outside, `mirrored` times by depth; of a polished and of a rough surface, after
 * {@link rimTerms} of the same depths. The level inside holds what the deepest place mirrors already.
 */
export function beyondTerms(memory: EdgeMemory, { depths, cosines }: Depths, mirrored: Float64Array): void {
  const [to, stride] = depths ? [ownShares, MOST_DEPTHS] : [memory.SHARES, RIM_DEPTHS.length];
  const last = cosines.length - 1;
  const more = mirrored[last]! - 1;
  for (let t = 0; t < 2; t++) {
    const share = t === 0 ? mirrors : roughs;
    const there = share[last]!;
    for (let k = 0; k <= last; k++) {
      const here = share[k]!;
      to[(3 + t) * stride + k] = here * (mirrored[k]! - 1) - (there * more * (1 - here)) / (1 - there);
    }
    placeInto(memory, 'BEYOND_RAW', t, 3 + t, depths);
  }
}

/** Averages a table by depth over grid cells into one of a part's grids. */
function placeInto(
  memory: EdgeMemory,
  part: 'RAW' | 'BEYOND_RAW',
  grid: number,
  table: number,
  depths: Float64Array | null,
): void {
  const { run } = memory;
  if (depths) {
    placed(ownShares.subarray(MOST_DEPTHS * table), depths, placedShares);
    memory[part].set(placedShares, GRID * grid);
    return;
  }
  if (!weighed) takeWeights(memory);
  run.place(run[part].value + 8 * GRID * grid, run.SHARES.value + 8 * RIM_DEPTHS.length * table);
}

/** Depths near two cells that lie side by side. */
const NEAR = 5;
let weighed = false;

/** Tells the module which depths weigh how much in each cell: what each of them makes of the cells alone. */
function takeWeights({ DEPTH_WEIGHTS, FIRST_DEPTHS }: EdgeMemory): void {
  const count = RIM_DEPTHS.length;
  const alone = Array.from({ length: count }, (_, depth) => {
    const cells = new Float64Array(INNER);
    placed(
      Float64Array.from({ length: count }, (_, k) => Number(k === depth)),
      null,
      cells,
    );
    return cells;
  });
  for (let i = 0; i < INNER; i += 2) {
    const near = alone.findIndex((cells) => cells[i] !== 0 || cells[i + 1] !== 0);
    const first = Math.min(near, count - NEAR);
    FIRST_DEPTHS[i / 2] = first;
    for (let k = 0; k < NEAR; k++) DEPTH_WEIGHTS.set(alone[first + k]!.subarray(i, i + 2), NEAR * i + 2 * k);
  }
  weighed = true;
}
