import { convexHull } from '../geometry/outline.ts';
import { areaOf, boxAround, contains } from '../geometry/polygon.ts';
import type { Core } from './covered-outline.ts';
import { closed, maskOf, partsIn, type Mask } from './mask.ts';
import { solidPart, type Part, type Stage } from './solid-part.ts';

export const THINGS = {
  closing: 9,
  least: 45,
  /** A part is solid where its core fills this share of its own hull, and is these shares of the part's size and its hull's area. */
  convex: 0.88,
  core: 0.35,
  part: 0.15,
  /** A part is a line where its hull is less than this share of the square over its size. */
  line: 0.15,
  /** Its hull may be this much larger than its core's before what makes it so is taken off. */
  hull: 1.08,
  /** Its core's hull is another outline that it may have where its own is so much larger: a core lacks the tips of corners, 1 to 3 % of undisturbed dice. */
  bulge: 1.03,
} as const;

/** A thing on the stage: its hull, reduced px. */
export interface Thing {
  readonly hull: readonly number[];
  readonly area: number;
  readonly solid: boolean;
  readonly trimmed: boolean;
  readonly core: Core | null;
  readonly spare: readonly number[] | null;
}

/** What parts hang together with: the largest of them, its core if it is solid, whether it is a line, and the hulls' points of all. */
interface Head {
  readonly part: Part;
  readonly core: Core | null;
  readonly line: boolean;
  readonly points: number[];
}

/** Things of a mask, largest first; see `stageRegions` for `joint`. */
export function thingsIn(cells: Uint8Array, w: number, h: number, joint: number, stage: Stage): Thing[] {
  const heads: Head[] = [];
  for (const part of partsOf(closed(maskOf(cells, w, h), THINGS.closing >> 1))) {
    const candidate = new Candidate(part, stage);
    const head = headOf(candidate, heads, joint);
    if (head) addRowEnds(part.runs, head.points);
    else heads.push(candidate.asHead());
  }
  return heads
    .map(thingOf)
    .filter((t) => t.area >= THINGS.least)
    .sort((a, b) => b.area - a.area);
}

/** A part whose core is looked for when it is asked for: most parts lie in the hull of a solid one, where nothing hangs on their own. */
class Candidate {
  readonly part: Part;
  readonly #stage: Stage;
  #core: Core | null | undefined;

  constructor(part: Part, stage: Stage) {
    this.part = part;
    this.#stage = stage;
  }

  get core(): Core | null {
    if (this.#core === undefined) this.#core = coreOf(this.part, this.#stage);
    return this.#core;
  }

  asHead(): Head {
    const { part, core } = this;
    const points: number[] = [];
    addRowEnds(part.runs, points);
    // A shadow's edge or a pencil line does not take a die beside it for its own.
    const line = core === null && areaOf(convexHull(points)) < THINGS.line * part.size ** 2;
    return { part, core, line, points };
  }
}

/** What hangs together with a solid thing lies in its hull; parts of an outline with gaps lie anywhere near. */
function headOf(candidate: Candidate, heads: readonly Head[], joint: number): Head | null {
  const { x, y } = candidate.part;
  for (const head of heads) {
    const { part, core, line } = head;
    const isOf = core
      ? contains(core.hull, x, y)
      : Math.hypot(x - part.x, y - part.y) < joint * part.size && !(line && candidate.core !== null);
    if (isOf) return head;
  }
  return null;
}

function thingOf({ core, points }: Head): Thing {
  const hull = convexHull(points);
  const [area, least] = [areaOf(hull), core ? areaOf(core.hull) : 0];
  // A face of a die whose outline has gaps is no die.
  const solid = core !== null && least > THINGS.least && least > THINGS.part * area;
  const trimmed = solid && area > THINGS.hull * least;
  const spare = solid && !trimmed && area > THINGS.bulge * least ? core.hull : null;
  return { hull: trimmed ? core.hull : hull, area: trimmed ? least : area, solid, trimmed, core, spare };
}

/** The parts that count, largest first. */
function partsOf(mask: Mask): Part[] {
  const { runs, of, areas, first } = partsIn(mask);
  const own = areas.map((area): number[] | null => (area >= THINGS.least / 4 ? [] : null));
  for (let k = 0; k < of.length; k++) own[of[k]!]?.push(runs[3 * k]!, runs[3 * k + 1]!, runs[3 * k + 2]!);
  const parts: (Part & { readonly first: number })[] = [];
  own.forEach((list, part) => list && parts.push({ ...partOf(list), first: first[part]! }));
  return parts.sort((a, b) => b.size - a.size || a.first - b.first);
}

function partOf(runs: readonly number[]): Part {
  let left = Infinity;
  let right = 0;
  for (let k = 0; k < runs.length; k += 3) {
    left = Math.min(left, runs[k + 1]!);
    right = Math.max(right, runs[k + 2]!);
  }
  const top = runs[0]!;
  const [width, height] = [right - left, runs[runs.length - 3]! + 1 - top];
  return { left, top, width, height, x: left + width / 2, y: top + height / 2, size: Math.max(width, height), runs };
}

/** A part's solid core; null where it has none that is most of it. */
function coreOf(part: Part, stage: Stage): Core | null {
  const { ends, area, off } = solidPart(part, stage);
  if (area === 0) return null;
  const hull = convexHull(outermost(ends));
  const { left, top, right, bottom } = boxAround(hull);
  const size = Math.max(right - left, bottom - top);
  return area > THINGS.convex * areaOf(hull) && size > THINGS.core * part.size ? { hull, ends, off } : null;
}

/** Adds the first and the last cell of each row, [x, y] each: all that a hull needs. */
function addRowEnds(runs: readonly number[], out: number[]): void {
  for (let k = 0; k < runs.length;) {
    const y = runs[k]!;
    out.push(runs[k + 1]!, y);
    while (runs[k + 3] === y) k += 3;
    out.push(runs[k + 2]! - 1, y);
    k += 3;
  }
}

/** The first and the last of each row of points that are listed row by row. */
function outermost(xy: readonly number[]): number[] {
  const out: number[] = [];
  for (let k = 0; k < xy.length; k += 2)
    if (xy[k - 1] !== xy[k + 1] || xy[k + 3] !== xy[k + 1]) out.push(xy[k]!, xy[k + 1]!);
  return out;
}
