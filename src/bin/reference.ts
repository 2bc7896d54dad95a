import { circumradius, type DieKind, type DieSolid } from '../geometry/solid.ts';
import { median } from '../maths/linear.ts';
import { failure, success, type Result } from '../result.ts';
import { radiusOf, type MeasuredDie } from './die.ts';
import type { BinLimits, BinReference } from './types.ts';
import type { Quantity } from '../formats/result.ts';

/** Limits where none are given, from the reference's size; common practice for moulded hobby dice: hundredths as moulded, tenths spoilt. */
export const USUAL_LIMITS = {
  /** Share of the size. */
  size: 0.01,
  /** Times the reference's radius, or over it by this share of the size, whichever is more. */
  radiusTimes: 2,
  radiusMore: 0.02,
  /** Share of the size, or times the bin's median, whichever is more. */
  departure: 0.003,
  departureTimes: 3,
  /** mm: below this one photo tells no departure from light and noise. */
  departureLeast: 0.04,
} as const;

/** Fewest dice from which a bin has a usual size. */
export const BIN_NEEDED = 3;

/** Mean axis of a true die: between opposite faces; of a d4 from a face to the far side of the corner opposite. mm. */
export const meanAxisOf = (solid: DieSolid, size: number, radius: number): number =>
  solid.kind === 'd4' ? size + circumradius(solid) * (size - radius) + radius : 2 * size;

/** How the mean axis changes with the face distance. */
export const axisPerSize = (solid: DieSolid): number => (solid.kind === 'd4' ? 1 + circumradius(solid) : 2);

/** The bin's own median, with the standard uncertainty of a median of normal values. Source: sigma sqrt(pi / (2 n)). */
export function binMedian(solid: DieSolid, dice: readonly MeasuredDie[]): BinReference {
  if (dice.length < BIN_NEEDED) return { size: null, radius: null, source: 'bin' };
  const sizes = dice.map((d) => meanAxisOf(solid, d.found.size, radiusOf(d).value));
  const radii = dice.map((d) => radiusOf(d).value);
  return { size: middle(sizes), radius: middle(radii), source: 'bin' };
}

function middle(values: readonly number[]): Quantity {
  const value = median(values);
  const spread = 1.4826 * median(values.map((v) => Math.abs(v - value)));
  return { value, u: spread * Math.sqrt(Math.PI / (2 * values.length)) };
}

/** Limits as given, and the usual ones where none are. */
export function limitsFor(
  given: Partial<BinLimits>,
  reference: BinReference,
  dice: readonly MeasuredDie[],
  solid: DieSolid,
): BinLimits {
  const size = reference.size?.value ?? median(dice.map((d) => meanAxisOf(solid, d.found.size, radiusOf(d).value)));
  const usual = Number.isFinite(size) ? size : 0;
  const radius = reference.radius?.value ?? (dice.length > 0 ? median(dice.map((d) => radiusOf(d).value)) : 0);
  const departure = dice.length >= BIN_NEEDED ? median(dice.map((d) => d.found.departure)) : 0;
  const round = (v: number): number => Number(v.toFixed(3));
  return {
    size: given.size ?? round(USUAL_LIMITS.size * usual),
    radius:
      given.radius ?? round(Math.max(USUAL_LIMITS.radiusTimes * radius, radius + USUAL_LIMITS.radiusMore * usual)),
    departure:
      given.departure ??
      round(
        Math.max(USUAL_LIMITS.departureLeast, USUAL_LIMITS.departure * usual, USUAL_LIMITS.departureTimes * departure),
      ),
  };
}

export interface ReferenceFile {
  readonly reference: BinReference;
  readonly limits: Partial<BinLimits>;
  readonly kind: DieKind;
}

/**
 * What a reference file holds: a die measured fully ("evencast-result/1"), or a nominal size and limits ("evencast-bin-reference/1":
 * die.kind, size, radius, limits). Untrusted: each number is checked.
 */
export function readReference(json: unknown): Result<ReferenceFile, string> {
  if (!isRecord(json)) return failure('an object is needed');
  const die = json['die'];
  const kind = isRecord(die) ? die['kind'] : undefined;
  if (typeof kind !== 'string') return failure('"die.kind" is missing');
  if (json['format'] === 'evencast-result/1') {
    const size = quantity(json['meanAxis']);
    const radius = quantity(json['meanCornerRadius']);
    if (!size || !radius) return failure('"meanAxis" and "meanCornerRadius" must each hold a value and u in mm');
    return success({ reference: { size, radius, source: 'die' }, limits: {}, kind: kind as DieKind });
  }
  if (json['format'] !== 'evencast-bin-reference/1')
    return failure('"format" must be "evencast-result/1" or "evencast-bin-reference/1"');
  const size = length(json['size']);
  const radius = length(json['radius']);
  const limits = readLimits(json['limits'] ?? {});
  if (!limits.ok) return limits;
  if (size === undefined || radius === undefined) return failure('"size" and "radius" must be lengths in mm, or null');
  return success({
    reference: { size: typed(size), radius: typed(radius), source: 'typed' },
    limits: limits.value,
    kind: kind as DieKind,
  });
}

/** A nominal value: exact by definition. */
export const typed = (value: number | null): Quantity | null => (value === null ? null : { value, u: 0 });

/** Limits as a file or a form gives them; unknown names are refused. */
export function readLimits(json: unknown): Result<Partial<BinLimits>, string> {
  if (!isRecord(json)) return failure('"limits" must be an object');
  const out: { -readonly [K in keyof BinLimits]?: number } = {};
  for (const [name, value] of Object.entries(json)) {
    if (name !== 'size' && name !== 'radius' && name !== 'departure') return failure(`"limits" has no "${name}"`);
    if (value === null) continue;
    if (typeof value !== 'number' || !(value > 0) || value > 20)
      return failure(`"limits.${name}" must be a length in mm`);
    out[name] = value;
  }
  return success(out);
}

const isRecord = (v: unknown): v is Record<string, unknown> => typeof v === 'object' && v !== null && !Array.isArray(v);
const length = (v: unknown): number | null | undefined =>
  v === undefined || v === null ? null : typeof v === 'number' && v > 0 && v < 200 ? v : undefined;

function quantity(v: unknown): Quantity | null {
  if (!isRecord(v)) return null;
  const { value, u } = v;
  return typeof value === 'number' && value > 0 && value < 200 && typeof u === 'number' && u >= 0 && u < 20
    ? { value, u }
    : null;
}
