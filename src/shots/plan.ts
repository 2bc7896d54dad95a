import { candidates, usualShape, USUAL_RADIUS, USUAL_SIZE, type Candidates } from './candidates.ts';
import { shotInformation, USUAL_SETTING, type PhotoSetting, type PlannedShot } from './information.ts';
import {
  chooseShots,
  expected,
  nothingYet,
  ranked,
  withShot,
  type CommonDoubt,
  type Expected,
  type Gathered,
} from './greedy-plan.ts';
import { grazingShots } from './grazing.ts';
import type { Numbering } from '../geometry/numbering.ts';
import { dieSolid, type DieKind } from '../geometry/solid.ts';
import { CHECK_BAR_U } from '../formats/job.ts';
import { TYPE_B } from '../measure/budget.ts';

/** How much trouble a person is willing to take, and the photos that makes. */
export const EFFORTS = ['quick', 'usual', 'thorough'] as const;
export type Effort = (typeof EFFORTS)[number];
export const PHOTO_COUNTS: Readonly<Record<DieKind, Readonly<Record<Effort, number>>>> = {
  d4: { quick: 3, usual: 4, thorough: 8 },
  d6: { quick: 3, usual: 4, thorough: 8 },
  d8: { quick: 3, usual: 5, thorough: 10 },
  d10: { quick: 4, usual: 6, thorough: 12 },
  d12: { quick: 4, usual: 7, thorough: 14 },
  d20: { quick: 4, usual: 10, thorough: 20 },
};
/** Most photos a plan is made for. */
export const MOST_PLANNED = 30;

/** What is asked of a plan. */
export interface PlanRequest {
  readonly kind: DieKind;
  readonly numbering: Numbering | null;
  /** Apex height over belt radius of a d10, where it is not the usual one. */
  readonly apex?: number;
  /** Check bars of the card that were measured: 0, 1 or 2. */
  readonly bars: 0 | 1 | 2;
  /** Standard uncertainty of a bar's length, mm. */
  readonly barU?: number;
  readonly setting?: PhotoSetting;
  /** Face to face, mm, and corner radius, mm, where they are known. */
  readonly size?: number;
  readonly radius?: number;
}

/** What one photo does for an axis: its U95 before and after, mm, all but the common part. */
export interface Help {
  readonly axis: string;
  readonly before: number;
  readonly after: number;
}

export interface AdvisedShot {
  readonly shot: PlannedShot;
  /** Axes whose doubt falls most, the most first. */
  readonly helps: readonly Help[];
  /** What is expected when it and those before it have been taken. */
  readonly expected: Expected;
  /** Of a photo that sees a face edge-on: U95 of the axes over the faces by their crowns alone before and after, mm. */
  readonly crowns?: { readonly before: number; readonly after: number };
}

export interface ShotPlan {
  readonly shots: readonly AdvisedShot[];
  /** Photos beside these that see a face edge-on, for the crowns. */
  readonly grazing: readonly AdvisedShot[];
  readonly expected: Expected;
}

/** What photos taken so far reach, and what to take next. */
export interface Reached {
  /** Null before the first photo. */
  readonly reached: Expected | null;
  readonly next: AdvisedShot;
}

/**
 * Mirrored light moves the edge of a rounded corner inwards by about this share of its radius; how far that is known is
 * `TYPE_B.sheen`. From sets of known truth.
 */
const SHEEN_SHIFT = 0.02;

/** What will be doubtful beside noise. */
export function commonDoubt(request: PlanRequest): CommonDoubt {
  const { kind, bars, setting = USUAL_SETTING, size = USUAL_SIZE[kind], barU = CHECK_BAR_U } = request;
  const mmPerPx = setting.distance / setting.focal;
  const sheen = (TYPE_B.sheen * SHEEN_SHIFT * (request.radius ?? USUAL_RADIUS * size)) / mmPerPx;
  const read = (barU / 100) * (bars === 2 ? Math.SQRT1_2 : 1);
  return { edge: Math.hypot(TYPE_B.commonEdge, sheen), scale: bars === 0 ? TYPE_B.uncheckedScale : read };
}

/** Makes plans for one kind of die; the shots that can be taken are worked out once. */
export class ShotPlanner {
  readonly #request: PlanRequest;
  readonly #list: Candidates;
  readonly #common: CommonDoubt;

  constructor(request: PlanRequest) {
    this.#request = request;
    const solid = dieSolid(request.kind, request.numbering ?? undefined, request.apex);
    this.#list = candidates(solid, request.setting, undefined, request.size);
    this.#common = commonDoubt(request);
  }

  /** The best shots for so many photos, most helpful first, beside those that were taken. */
  plan(count: number, taken: readonly PlannedShot[] = []): ShotPlan {
    const start = this.#gathered(taken);
    const wanted = Math.min(MOST_PLANNED, Math.max(0, Math.round(count)));
    let gathered = start;
    const shots = chooseShots(this.#list, wanted, start).map((index) => {
      const before = gathered;
      gathered = withShot(gathered, this.#list.information(index));
      return this.#advised(this.#list.shots[index]!, before, gathered);
    });
    const reached = this.#expected(gathered);
    const beside = [...taken, ...shots.map(({ shot }) => shot)];
    const grazing = grazingShots(this.#list.shape, this.#request.setting ?? USUAL_SETTING, beside).map(
      ({ shot, before, after }): AdvisedShot => ({ shot, helps: [], expected: reached, crowns: { before, after } }),
    );
    return { shots, grazing, expected: reached };
  }

  /** What photos taken reach, and the one that helps most beside them. */
  next(taken: readonly PlannedShot[]): Reached {
    const gathered = this.#gathered(taken);
    const [best] = ranked(this.#list, gathered, taken.length === 0 ? this.#list.representatives : undefined);
    const after = withShot(gathered, this.#list.information(best!.index));
    return {
      reached: taken.length === 0 ? null : this.#expected(gathered),
      next: this.#advised(this.#list.shots[best!.index]!, gathered, after),
    };
  }

  #expected(gathered: Gathered): Expected {
    return expected(this.#list.shape, gathered, this.#common);
  }

  #gathered(taken: readonly PlannedShot[]): Gathered {
    const { size } = this.#request;
    const shape = usualShape(this.#list.shape.solid, size);
    return taken.reduce(
      (all, shot) => withShot(all, shotInformation(shape, shot, this.#request.setting)),
      nothingYet(shape),
    );
  }

  #advised(shot: PlannedShot, before: Gathered, after: Gathered): AdvisedShot {
    const now = this.#expected(after);
    const was = this.#expected(before);
    return { shot, helps: helpsOf(was, now), expected: now };
  }
}

/** Axes worth naming: those whose doubt falls by at least half as much as the one that falls most. */
function helpsOf(was: Expected, now: Expected): Help[] {
  const all = now.axes.map(({ name, uDifference }, i) => ({
    axis: name,
    before: 2 * was.axes[i]!.uDifference,
    after: 2 * uDifference,
  }));
  const gain = ({ before, after }: Help): number => Math.log(before / after);
  const most = Math.max(...all.map(gain));
  return all
    .filter((h) => gain(h) >= most / 2 && gain(h) > 0)
    .sort((a, b) => gain(b) - gain(a))
    .slice(0, MOST_NAMED);
}
const MOST_NAMED = 3;
