import type { DieState } from '../../fit/die-state.ts';
import type { Evidence } from '../../shots/photo-evidence.ts';
import { resultShape } from '../../shots/result-evidence.ts';
import type { MeasureResult } from '../../formats/result.ts';
import { compareAxes } from '../../figures/axis-comparison.ts';
import { decide, type Verdict } from '../../judging/decision.ts';
import { typedNumber, typedText } from '../kit/format.ts';
import { keptSettings, keptTextsOf } from '../kit/kept-settings.svelte.ts';
import { MIL, smallPerMm, units } from '../kit/lengths.ts';
import type { Net } from '../../figures/net-drawing.ts';
import { shotsClient } from '../store/shots-client.ts';
import { route } from '../kit/route.svelte.ts';
import type { DieSet } from '../store/die-set.svelte.ts';

/** A number of the room whose coming about can be asked for. */
export type Traced =
  | { readonly kind: 'axis' | 'corner' | 'edge' | 'face'; readonly name: string }
  | { readonly kind: 'meanAxis' | 'range' | 'meanRadius' };

/** Whether a result has such a number. */
function has(result: MeasureResult, what: Traced): boolean {
  if (!('name' in what)) return ['meanAxis', 'range', 'meanRadius'].includes(what.kind);
  const lists = { axis: result.axes, corner: result.corners, edge: result.edges, face: result.faces };
  return (lists[what.kind] as readonly { name: string }[] | undefined)?.some(({ name }) => name === what.name) ?? false;
}

/** What a room's address says is chosen; what this result does not have is passed over. */
export function chosenIn(
  query: URLSearchParams,
  result: MeasureResult,
): { axis: string | null; traced: Traced | null } {
  const axis = query.get('axis');
  const [kind = '', ...name] = (query.get('trace') ?? '').split(' ');
  const what = (name.length > 0 ? { kind, name: name.join(' ') } : { kind }) as Traced;
  return {
    axis: result.axes.some((each) => each.name === axis) ? axis : null,
    traced: has(result, what) ? what : null,
  };
}

/** Tolerance of an axis against the mean that a person starts from, mm: a thousandth of an inch (common practice). */
export const AXIS_TOLERANCE = MIL;
/** Windows narrower than this get the upright net, px. */
const TALL_BELOW = 640;
const TOLERANCE_KEY = 'axis-tolerance';
/** Whether a number in the small unit in use is a tolerance. */
const isTolerance = (n: number): boolean => n > 0 && n / smallPerMm() < 10;

/** What is chosen in the shape room, and what the photos say of it. Made anew for each result. */
export class ShapeRoom {
  readonly set: DieSet;
  readonly result: MeasureResult;
  /** The die as measured; null where result and numbering do not belong together. */
  readonly shape: DieState | null;
  /** Name of the axis in question. */
  axis = $state<string | null>(null);
  /** Name of the photo looked at. */
  photo = $state<string | null>(null);
  traced = $state.raw<Traced | null>(null);
  evidence = $state.raw<Evidence | null>(null);
  /** The die laid flat, once it has been worked out. */
  net = $state.raw<Net | null>(null);
  readonly #client = shotsClient();
  /** The tolerance as typed, by the small unit that it was typed in. */
  readonly #typed = keptTextsOf('axis-tolerance-typed');

  constructor(set: DieSet, result: MeasureResult) {
    this.set = set;
    this.result = result;
    this.shape = shapeOf(set, result);
    this.show(route.place.query);
  }

  /** Chooses what an address says. */
  show(query: URLSearchParams): void {
    const { axis, traced } = chosenIn(query, this.result);
    if (axis !== this.axis) this.choose(axis);
    if (JSON.stringify(traced) !== JSON.stringify(this.traced)) this.traced = traced;
  }

  /** What the address says of what is chosen. */
  get query(): Record<string, string> {
    const { axis, traced } = this;
    return {
      ...(axis === null ? {} : { axis }),
      ...(traced === null ? {} : { trace: 'name' in traced ? `${traced.kind} ${traced.name}` : traced.kind }),
    };
  }

  readonly comparison = $derived.by(() =>
    compareAxes(
      this.result.axes.map(({ length }) => length),
      this.result.axesCovariance,
    ),
  );
  /** Half width of the tolerance band, mm. */
  readonly tolerance = $derived.by(() => {
    const kept = keptSettings.get(TOLERANCE_KEY);
    return typeof kept === 'number' && kept > 0 && kept < 10 ? kept : AXIS_TOLERANCE;
  });
  readonly toleranceText = $derived.by(() => {
    const typed = this.#typed.get(units.current);
    const [meant, used] = [typedNumber(typed ?? ''), this.tolerance * smallPerMm()];
    // What was typed in another unit since counts; what is no tolerance stands there to be mended.
    const isCurrent = meant === null || !isTolerance(meant) || Math.abs(meant - used) < 1e-6 * used;
    return typed !== null && isCurrent ? typed : typedText(Number(used.toPrecision(6)));
  });
  readonly toleranceWrong = $derived.by(() => {
    const n = typedNumber(this.toleranceText);
    return n === null || !isTolerance(n);
  });
  readonly verdicts: readonly Verdict[] = $derived.by(() =>
    this.comparison.deviations.map(
      ({ value, u }) => decide(value, u, { low: -this.tolerance, high: this.tolerance }, { kind: 'guard' }).verdict,
    ),
  );
  /** Faces' distances from their mean, mm, in the order of the solid's faces. */
  readonly faceDeviations: readonly number[] = $derived.by(() => {
    const d = this.shape?.distances ?? new Float64Array();
    const mean = d.reduce((s, v) => s + v, 0) / d.length;
    return Array.from(d, (v) => v - mean);
  });
  /** Indices of the faces that bound the axis in question. */
  readonly axisFaces: readonly number[] = $derived.by(() => {
    const labels = this.shape?.solid.labels ?? [];
    return this.axis === null
      ? []
      : this.axis
          .split('-')
          .map((n) => labels.indexOf(n))
          .filter((f) => f >= 0);
  });
  /** Share of each photo in what is known of the axis in question, by the photo's name; null where not known. */
  readonly shares: Readonly<Record<string, number | null>> = $derived.by(() => this.sharesOf(this.axis));

  sharesOf(axis: string | null): Record<string, number | null> {
    const k = axis === null ? -1 : (this.evidence?.axes.indexOf(axis) ?? -1);
    return Object.fromEntries(
      this.result.photos.map(({ photo }, i) => [photo, k < 0 ? null : (this.evidence!.shares[i]?.[k] ?? null)]),
    );
  }

  /** How much each point of a photo's outline moves with the axis in question; null where not known. */
  bearing(photo: string): Float32Array | null {
    const k = this.axis === null ? -1 : (this.evidence?.axes.indexOf(this.axis) ?? -1);
    const i = this.result.photos.findIndex((p) => p.photo === photo);
    return k < 0 ? null : (this.evidence!.bearing[i]?.[k] ?? null);
  }

  /** Takes up an axis, or lets go of it; its most telling photo is looked at. */
  choose(axis: string | null): void {
    this.axis = axis;
    const shares = Object.entries(this.sharesOf(axis)).filter((s): s is [string, number] => s[1] !== null);
    if (shares.length > 0) this.photo = shares.reduce((a, b) => (b[1] > a[1] ? b : a))[0];
  }

  trace(what: Traced | null): void {
    this.traced = what;
    if (what?.kind === 'axis') this.choose(what.name);
  }

  set typedTolerance(text: string) {
    this.#typed.set(units.current, text);
    const n = typedNumber(text);
    if (n !== null && isTolerance(n)) keptSettings.set(TOLERANCE_KEY, n / smallPerMm());
  }

  /** Lays the die flat and weighs the photos, beside the page. */
  async weigh(): Promise<void> {
    const { numbering, apex } = this.set.outcome?.job ?? { numbering: null };
    // A net for this window; in another one it is smaller, never cut.
    const tall = innerWidth < TALL_BELOW;
    const net = await this.#client.call((api) => api.net(this.result, numbering, apex, tall));
    if (!net.ok) return;
    this.net = net.value;
    const found = await this.#client.call((api) => api.evidence(this.result, numbering, apex));
    if (!found.ok) return;
    this.evidence = found.value;
    if (this.axis !== null) this.choose(this.axis);
  }

  close(): void {
    this.#client.dispose();
  }
}

function shapeOf(set: DieSet, result: MeasureResult): DieState | null {
  try {
    const { numbering, apex } = set.outcome?.job ?? { numbering: null };
    return resultShape(result, numbering, apex);
  } catch (thrown) {
    if (thrown instanceof RangeError) return null;
    throw thrown;
  }
}
