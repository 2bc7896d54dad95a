import { DIE_KINDS, type DieKind } from '../geometry/solid.ts';
import { failure, success, type Result } from '../result.ts';
import { BOUNDS, type Doubt, type Length, type LotDie } from './lot.ts';
import { attempt, Part, plain, refuse, type Wrong } from './reading.ts';

/**
 * Sources of the uncertainty budget that are drawn anew when a die is photographed anew. The others (the card's scale, where an edge lies
 * in a picture, what the rim mirrors, sharpening) repeat on every die of one material under the same card, camera and light.
 */
const ANEW: readonly string[] = ['noise', 'outline', 'camera'];

export type RecordFault = Wrong | { readonly code: 'not-measured'; readonly reason: string };

/**
 * A die of a lot from a result's parsed JSON ("evencast-result/1"), or from the data of a report ("evencast-report/1"), which hold it; the
 * numbers that belong to the lot are left open.
 */
export function dieFromResult(json: unknown, label: string): Result<{ kind: DieKind; die: LotDie }, RecordFault> {
  const out = attempt(() => {
    const whole = new Part(json);
    const format = whole.at('format').oneOf(['evencast-result/1', 'evencast-report/1']);
    const file = format === 'evencast-report/1' ? whole.at('data').at('result') : whole;
    const error = file.at('error');
    if (!error.missing) return { reason: error.at('code').text(60) };
    return { kind: file.at('die').at('kind').oneOf(DIE_KINDS), die: dieOf(file, label) };
  });
  if ('code' in out) return failure(out);
  if ('reason' in out) return failure({ code: 'not-measured', reason: out.reason });
  return success(out);
}

function dieOf(file: Part, label: string): LotDie {
  const axes = lengths(file.at('axes'), 'length');
  const faces = lengths(file.at('faces'), 'distance');
  const corners = lengths(file.at('corners'), 'radius');
  const shares = sharesOf(file.at('budget'));
  const matrix = file.at('shapeCovariance').optional((p) => squareOf(p.at('matrix'), faces.length + corners.length));
  const axesMatrix = file.at('axesCovariance').optional((p) => squareOf(p, axes.length));
  const part = (from: number, list: readonly Length[]): number[][] | null =>
    matrix?.slice(from, from + list.length).map((row) => row.slice(from, from + list.length)) ?? null;
  return {
    label: plain(label, 80),
    cavity: null,
    time: null,
    card: null,
    axes,
    faces,
    corners,
    meanAxis: quantity(file.at('meanAxis')),
    rangeOfAxes: quantity(file.at('rangeOfAxes')),
    meanCornerRadius: quantity(file.at('meanCornerRadius')),
    doubt: {
      axes: doubtOf(axes, axesMatrix, shares.mean, shares.difference),
      faces: doubtOf(faces, part(0, faces), shares.mean, shares.difference),
      corners: doubtOf(corners, part(faces.length, corners), shares.radius, shares.radius),
    },
  };
}

const lengths = (part: Part, field: string): Length[] =>
  part.list(1, 60).map((p) => ({
    name: p.at('name').text(40),
    value: p.at(field).number(0, BOUNDS.length),
    u: p.at('u').number(0, BOUNDS.length),
  }));

const quantity = (part: Part): { value: number; u: number } => ({
  value: part.at('value').number(0, BOUNDS.length),
  u: part.at('u').number(0, BOUNDS.length),
});

function squareOf(part: Part, n: number): number[][] {
  return part.list(n, n).map((row) => row.list(n, n).map((v) => v.number(-BOUNDS.length, BOUNDS.length)));
}

/** Share of the variance that is drawn anew. Without a budget: what is common repeats, what differs is drawn anew. */
function sharesOf(budget: Part): { mean: number; difference: number; radius: number } {
  if (budget.missing) return { mean: 0, difference: 1, radius: 1 };
  const lines = budget.list(0, 40).map((p) => ({
    own: ANEW.includes(p.at('source').text(40)),
    mean: p.at('meanAxis').number(0, BOUNDS.length) ** 2,
    difference: p.at('difference').number(0, BOUNDS.length) ** 2,
    radius: p.at('meanRadius').number(0, BOUNDS.length) ** 2,
  }));
  const share = (of: 'mean' | 'difference' | 'radius'): number => {
    const all = lines.reduce((s, l) => s + l[of], 0);
    return all > 0 ? lines.reduce((s, l) => s + (l.own ? l[of] : 0), 0) / all : of === 'mean' ? 0 : 1;
  };
  return { mean: share('mean'), difference: share('difference'), radius: share('radius') };
}

/** Without a covariance all are taken as independent of each other. */
function doubtOf(
  list: readonly Length[],
  matrix: number[][] | null,
  meanShare: number,
  differenceShare: number,
): Doubt {
  const k = list.length;
  const trace = matrix ? matrix.reduce((s, row, i) => s + row[i]!, 0) : list.reduce((s, l) => s + l.u ** 2, 0);
  const sum = matrix ? matrix.flat().reduce((s, v) => s + v, 0) : trace;
  if (!(trace >= 0) || !(sum >= -1e-12))
    refuse('shapeCovariance.matrix', 'variances that are not negative', Math.min(trace, sum));
  const mean = Math.max(0, sum) / k ** 2;
  const difference = k > 1 ? Math.max(0, trace - Math.max(0, sum) / k) / (k - 1) : 0;
  return {
    ownMean: Math.sqrt(mean * meanShare),
    ownDifference: Math.sqrt(difference * differenceShare),
    repeatedMean: Math.sqrt(mean * (1 - meanShare)),
    repeatedDifference: Math.sqrt(difference * (1 - differenceShare)),
  };
}
