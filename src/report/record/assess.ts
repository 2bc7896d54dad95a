import type { Prediction } from '../../bias/meaning/prediction.ts';
import type { MeasureResult } from '../../formats/result.ts';
import {
  COVERAGE_FACTOR,
  decide,
  decideByProbability,
  decidingU,
  margin,
  riskOf,
  together,
  type Decision,
  type DecisionRule,
  type Limits,
  type Verdict,
} from '../../judging/decision.ts';
import { fewDraws, knownRange, shareAsFar } from '../../maths/joint-draws.ts';
import { jointProbability } from './joint.ts';
import type { Assessment, Finding, Remedy } from '../../formats/report.ts';
import { ON_LIMIT, remedyForChance, remedyForLength } from './remedy.ts';
import type { LimitKey, Tolerance } from '../../judging/tolerance.ts';

export type { Assessment, Finding } from '../../formats/report.ts';

type Judged = Pick<
  MeasureResult,
  | 'axes'
  | 'axesCovariance'
  | 'meanAxis'
  | 'rangeOfAxes'
  | 'edges'
  | 'corners'
  | 'faces'
  | 'marks'
  | 'marksSeen'
  | 'shapeCovariance'
  | 'budget'
  | 'card'
>;

/** Judges a die by a tolerance and a rule. `prediction` null: chances are not judged. */
export function assess(
  result: Judged,
  prediction: Prediction | null,
  tolerance: Tolerance,
  rule: DecisionRule,
): Assessment {
  const { size, range, edges, chances, crowns, marks } = tolerance;
  const findings: Finding[] = [];
  const one = (
    key: LimitKey,
    limits: Limits,
    { value, u }: { value: number; u: number },
    column: 'meanAxis' | 'difference',
  ): void =>
    void findings.push(
      single(key, limits, value, u, decide(value, u, limits, rule), () =>
        remedyForLength(value, u, limits, rule, result, column),
      ),
    );
  if (size) one('size', size, result.meanAxis, 'meanAxis');
  if (range) findings.push(rangeFinding(result, range, rule));
  if (edges && result.edges.length > 0) findings.push(edgesFinding(result, edges, rule));
  if (chances && prediction) findings.push(chancesFinding(prediction, chances, rule));
  if (crowns) findings.push(...crownsFinding(result, crowns, rule));
  if (marks) findings.push(...marksFinding(result, marks, rule));
  if (findings.length === 0) return { findings, verdict: null, probability: null };
  const p = findings.map((f) => f.probability);
  return {
    findings,
    verdict: together(findings.map((f) => f.verdict)),
    probability: { low: Math.max(0, 1 - p.reduce((s, x) => s + 1 - x, 0)), high: Math.min(...p) },
  };
}

function single(
  key: LimitKey,
  { low, high }: Limits,
  value: number,
  u: number,
  { verdict, probability }: Decision,
  remedy: () => Remedy,
): Finding {
  return {
    key,
    low,
    high,
    value,
    u,
    member: null,
    judged: 1,
    passed: verdict === 'pass' ? 1 : 0,
    failed: verdict === 'fail' ? 1 : 0,
    verdict,
    probability,
    remedy: verdict === 'undecided' ? remedy() : null,
  };
}

/**
 * By joint draws of all axes: where several nearly tie, the outer pair alone would be too sure. Beyond its upper limit is only what a die on the limit would
 * not be measured as: below the doubt all ranges seem too large.
 */
function rangeFinding(result: Judged, limits: Limits, rule: DecisionRule): Finding {
  const { value } = result.rangeOfAxes;
  const lengths = result.axes.map((a) => a.length);
  const covariance = Float64Array.from(result.axesCovariance.flat());
  const known = knownRange(lengths, covariance, (r) => inside(r, limits));
  // By the draws of whoever measured: the same number stands in both places.
  const u = knownRange(lengths, covariance, undefined, fewDraws(lengths.length))?.u ?? result.rangeOfAxes.u;
  const drawn = known && decideByProbability(known.probability, inside(value, limits), rule);
  const hasty =
    drawn?.verdict === 'fail' &&
    limits.high !== null &&
    value > limits.high &&
    (shareAsFar(lengths, covariance, limits.high) ?? 0) > riskOf(rule);
  const decision = drawn
    ? { ...drawn, verdict: hasty ? ('undecided' as const) : drawn.verdict }
    : decide(value, u, limits, rule);
  return single('range', limits, value, u, decision, () =>
    remedyForLength(value, u, limits, rule, result, 'difference'),
  );
}

interface Member extends Decision {
  readonly name: string;
  readonly value: number;
  readonly u: number;
}

const ORDER: readonly Verdict[] = ['fail', 'undecided', 'pass'];

/** Of several: the worst off stands for all. */
function group(
  key: LimitKey,
  { low, high }: Limits,
  members: readonly Member[],
  joint: number | null,
  remedy: (worst: Member) => Remedy,
): Finding {
  const rank = (m: Member): number => ORDER.indexOf(m.verdict);
  const worst = members.reduce((a, b) =>
    rank(b) < rank(a) || (rank(b) === rank(a) && b.probability < a.probability) ? b : a,
  );
  const verdict = together(members.map((m) => m.verdict));
  return {
    key,
    low,
    high,
    value: worst.value,
    u: worst.u,
    member: worst.name,
    judged: members.length,
    passed: members.filter((m) => m.verdict === 'pass').length,
    failed: members.filter((m) => m.verdict === 'fail').length,
    verdict,
    probability: joint ?? Math.max(0, 1 - members.reduce((s, m) => s + 1 - m.probability, 0)),
    remedy: verdict === 'undecided' ? remedy(worst) : null,
  };
}

const inside = (x: number, { low, high }: Limits): boolean =>
  (low === null || x >= low) && (high === null || x <= high);

function edgesFinding(result: Judged, limits: Limits, rule: DecisionRule): Finding {
  const members = result.edges.map(({ name, radius, u }): Member => ({
    name,
    value: radius,
    u,
    ...decide(radius, u, limits, rule),
  }));
  // An edge's radius is the mean of those of its two ends: drawn are the corners.
  const { names, matrix } = result.shapeCovariance;
  const at = result.corners.map((c) => names.indexOf(`corner ${c.name}`));
  const covariance = Float64Array.from(at.flatMap((i) => at.map((j) => matrix[i]?.[j] ?? NaN)));
  const ends = result.edges.map(({ name }) => {
    const faces = name.split('-');
    return result.corners.flatMap((c, i) => (faces.every((f) => c.name.split('-').includes(f)) ? [i] : []));
  });
  const known = covariance.every(Number.isFinite) && ends.every((e) => e.length === 2);
  const joint = known
    ? jointProbability(
        result.corners.map((c) => c.radius),
        covariance,
        (r) => ends.every(([a, b]) => inside((r[a!]! + r[b!]!) / 2, limits)),
      )
    : null;
  return group('edges', limits, members, joint, (worst) =>
    remedyForLength(worst.value, worst.u, limits, rule, result, 'meanRadius'),
  );
}

/** What would narrow a crown or a mark's height: a photo that sees the face edge-on. */
const grazing = ({ value, u }: Member, limits: Limits, rule: DecisionRule): Remedy =>
  Math.abs(margin(value, limits)) < ON_LIMIT * u
    ? { kind: 'on-limit' }
    : { kind: 'grazing', U95: COVERAGE_FACTOR * decidingU(margin(value, limits), rule) };

/** Of a face whose crown no photo showed: what its axis holds of it, which is what is believed of the finish. Older results hold nothing. */
function crownsFinding(result: Judged, limits: Limits, rule: DecisionRule): Finding[] {
  const members = result.faces.map(({ name, crown }): Member | null => {
    const axis = result.axes.find((a) => a.name.split('-').includes(name));
    const edges = axis?.lengthAtEdges;
    if (!crown && (!axis || !edges)) return null;
    const value = crown?.value ?? (axis!.length - edges!.value) / 2;
    const u = crown?.u ?? Math.sqrt(Math.max(0, axis!.u ** 2 - edges!.u ** 2)) / 2;
    return { name, value, u, ...decide(value, u, limits, rule) };
  });
  const known = members.filter((m) => m !== null);
  if (known.length === 0 || known.length < members.length) return [];
  return [group('crowns', limits, known, null, (worst) => grazing(worst, limits, rule))];
}

/** Height of a mark that no photo shows from the side, one standard deviation, mm: gate stubs are met up to 0.2 (common practice). */
const UNSEEN_HEIGHT = 0.1;

/** A die on which marks were looked for and none was found holds any limit; where they could not be seen nothing is said. */
function marksFinding({ marks, marksSeen }: Judged, limits: Limits, rule: DecisionRule): Finding[] {
  const standing = (marks ?? []).filter(({ kind }) => kind === 'proud');
  if (standing.length === 0) {
    const looked = marksSeen !== undefined && marksSeen.least !== null && marksSeen.unseen.length === 0;
    const none: Member = { name: '', value: 0, u: 0, ...decide(0, 0, limits, rule) };
    return looked ? [single('marks', limits, 0, 0, none, () => grazing(none, limits, rule))] : [];
  }
  const members = standing.map(({ face, height }): Member => {
    const { value, u } = height ?? { value: 0, u: UNSEEN_HEIGHT };
    return { name: face, value, u, ...decide(value, u, limits, rule) };
  });
  return [group('marks', limits, members, null, (worst) => grazing(worst, limits, rule))];
}

/** Chances are judged in logarithms, in which their doubt is even. */
function chancesFinding(prediction: Prediction, limits: Limits, rule: DecisionRule): Finding {
  const { p, covariance, names } = prediction;
  const k = p.length;
  const ln = (x: number | null): number | null => (x === null || x <= 0 ? null : Math.log(x));
  const lnLimits: Limits = { low: ln(limits.low), high: ln(limits.high) };
  const lnShare = Float64Array.from(p, (x) => Math.log(x * k));
  const members = names.map((name, i): Member => {
    const u = Math.sqrt(covariance[i * (k + 1)]!);
    return { name, value: p[i]! * k, u, ...decide(lnShare[i]!, u, lnLimits, rule) };
  });
  const joint = jointProbability(lnShare, covariance, (x) => x.every((v) => inside(v, lnLimits)));
  return group('chances', limits, members, joint, (worst) => {
    const i = names.indexOf(worst.name);
    return remedyForChance(p[i]!, lnShare[i]!, lnLimits, worst.u, rule);
  });
}
