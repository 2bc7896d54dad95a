import { knownRange } from '../maths/joint-draws.ts';
import { parameterCount, shapeCount, type DieState } from '../fit/die-state.ts';
import { HIDDEN_ALIKE } from '../fit/crown-prior.ts';
import { CUT } from '../fit/normal-equations.ts';
import { photoRows } from '../fit/photo-rows.ts';
import { ownVariance, stretches } from '../fit/stretches.ts';
import { looksMetal } from '../vision/sheen.ts';
import { doubtOf, patternOf, type Doubt, type Influence } from '../fit/doubt.ts';
import { degrees } from '../units.ts';
import { balls, type Balls, type DieSolid } from '../geometry/solid.ts';
import { dot, vec3At, type Vec3 } from '../geometry/vec.ts';
import { failure, success, type Result } from '../result.ts';
import { TERM_COUNT } from '../vision/profile.ts';
import { cardInfluences, colourNote, commonEdge, fitNotes, shapeDoubt } from './fit-gates.ts';
import { processingOf } from './processing.ts';
import { SHUTTER } from '../vision/shutter.ts';
import { PER_PHOTO, RATIO, SHARED } from '../vision/calibration.ts';
import { CONTRADICTION, PRINT_PRIOR } from '../vision/print-scale.ts';
import { ACCEPT, blurNote } from './look.ts';
import { crownsSeen, withBelievedCrowns } from './crown-doubt.ts';
import { crownPrior } from './finish.ts';
import { flatSights } from './flatness.ts';
import type { Measured } from './measured.ts';
import { uprightDirections, uprightPlaces, uprightSize } from '../photo/orientation.ts';
import { remarked } from './photo-result.ts';
import type {
  AxisResult,
  BudgetLine,
  MeasureFailure,
  MeasureResult,
  Note,
  PhotoResult,
  Quantity,
} from '../formats/result.ts';

/** Standard uncertainties that no photo of the set can tell; each with its ground. */
export const TYPE_B = {
  /** Printed over designed length where nobody measured the check bars. */
  uncheckedScale: PRINT_PRIOR.common,
  /**
   * Where a picture's edge lies against the die's, all edges alike, px: tone curve, shape of the blur, light beyond the model.
   * From rendered sets of known truth with three cameras and seven dice; see DEVELOPERS.md.
   */
  commonEdge: 0.05,
  /** Share by which the rim's mirrored light may differ from the faces' own. */
  sheen: 0.25,
  /** How far the edges of all crowned faces seen edge-on may lie off together, px; see fit/README.md. */
  crownEdge: 0.15,
  /** Share by which the stage's shade beside the die may differ from an even sky's. */
  shade: 0.3,
  /** How many times larger the doubt of shape is on a surface that looks like metal; from one rendered set of known truth. */
  metal: 2.5,
} as const;

/** From here on a skin's pattern is remarked on; see `patternOf`. */
const PATTERNED = 0.5;
/**
 * A photo whose stage has less than this share of the die's grain was smoothed beside the die: lighter areas have as much grain or more.
 * Only where the die has that much, display values, and no pattern that passes for it.
 */
const GRAIN = { beside: 0.5, least: 2, pattern: 0.3 } as const;

/** A quantity as a linear function of the parameters: its value and its row. */
interface Linear {
  readonly name: string;
  readonly value: number;
  readonly row: Float64Array;
}

/** Puts a measured set into numbers with their doubt. */
export function resultOf(m: Measured, photos: readonly PhotoResult[]): Result<MeasureResult, MeasureFailure> {
  const { state, solid } = m;
  const influences = influencesOf(m);
  const doubt = doubtOf(
    state,
    m.photos,
    m.rounds.map((r) => r.outline),
    m.prior,
    CUT,
    m.tau,
    {
      covariance: m.calibration.covariance,
      shared: SHARED,
      places: m.photos.map((_, i) => i),
      // Where one bar alone was measured, all lengths follow the ratio.
      direct: { place: RATIO, shift: lengthsOf(state).map((v) => v * m.calibration.print.lean) },
    },
    influences,
    (looksMetal(m.sheen) ? TYPE_B.metal : 1) * shapeDoubt(m),
  );
  if (!doubt.ok) return failure({ code: 'rank', photos });
  const fitted = parameterCount(state);
  const sights = state.crowns ? [] : flatSights(m);
  const {
    n,
    covariance: cov,
    at,
    values: crowns,
  } = withBelievedCrowns(
    state,
    doubt.value.total,
    fitted,
    crownPrior(m.job, state.radii.reduce((s, r) => s + r, 0) / state.radii.length),
    sights,
  );
  const crownSeen = crownsSeen(m, sights);
  const body = balls(solid, state.distances, state.radii);
  const edgeAxes = axisRows(solid, state, body).map((a) => ({ ...a, row: padded(a.row, n) }));
  const axes = edgeAxes.map((a) => overFaces(a, solid, crowns, at));
  const corners = solid.corners.map((c, i): Linear => ({
    name: c.name,
    value: state.radii[i]!,
    row: unit(n, state.distances.length + i),
  }));
  const faces = solid.labels.map((name, i): Linear => ({ name, value: state.distances[i]!, row: unit(n, i) }));
  const u = (row: Float64Array): number => Math.sqrt(Math.max(0, product(row, cov, row, n)));
  const mean = meanOf(axes, n);
  const meanRadius = meanOf(corners, n);
  const [least, most] = [
    axes.reduce((p, q) => (q.value < p.value ? q : p)),
    axes.reduce((p, q) => (q.value > p.value ? q : p)),
  ];
  const first = (l: Linear): Linear => ({ ...l, row: l.row.subarray(0, fitted) });
  const notes = setNotes(m);
  const quantity = (l: Linear): Quantity => ({ value: l.value, u: u(l.row) });
  const order = <T extends { readonly name: string }>(list: readonly T[]): T[] =>
    [...list].sort((p, q) => byNumbers(p.name, q.name));
  const sortedAxes = order(axes);
  const sortedEdges = order(edgeAxes);
  const covarianceOf = (list: readonly Linear[]): number[][] =>
    list.map((a) => list.map((b) => product(a.row, cov, b.row, n)));
  const sortedCovariance = covarianceOf(sortedAxes);
  // By draws: of axes that nearly tie any may be the outer one.
  const uRange = knownRange(sortedAxes.map((a) => a.value), Float64Array.from(sortedCovariance.flat()))?.u; // prettier-ignore
  const shape = [...order(faces), ...order(corners)];
  const crownOf = (f: number): Quantity | null => (crownSeen[f] ? { value: crowns[f]!, u: u(unit(n, at + f)) } : null);
  const shot = new Map(m.used.map((a, i) => [a.shot.photo, i]));
  return success({
    format: 'evencast-result/1',
    die: dieOf(m),
    axes: sortedAxes.map((a, i): AxisResult => ({
      name: a.name,
      length: a.value,
      lengthAtEdges: quantity(sortedEdges[i]!),
      u: u(a.row),
      uCommon: u(mean.row),
      uDifference: u(minus(a.row, mean.row)),
    })),
    axesCovariance: sortedCovariance,
    axesAtEdgesCovariance: covarianceOf(sortedEdges),
    meanAxis: quantity(mean),
    rangeOfAxes: { value: most.value - least.value, u: uRange ?? u(minus(most.row, least.row)) },
    corners: order(corners).map((c) => ({ name: c.name, radius: c.value, u: u(c.row) })),
    meanCornerRadius: quantity(meanRadius),
    edges: order(solid.edges.map((e) => ({ name: e.name, ends: e.corners }))).map((e) => {
      const row = new Float64Array(n);
      for (const c of e.ends) row[state.distances.length + c]! += 0.5;
      return { name: e.name, radius: (state.radii[e.ends[0]]! + state.radii[e.ends[1]]!) / 2, u: u(row) };
    }),
    faces: order(faces).map((f) => ({
      name: f.name,
      distance: f.value,
      u: u(f.row),
      land: landArea(solid, solid.labels.indexOf(f.name), body),
      crown: crownOf(solid.labels.indexOf(f.name)),
    })),
    shapeCovariance: {
      names: shape.map((s, i) => `${i < faces.length ? 'face' : 'corner'} ${s.name}`),
      matrix: shape.map((a) => shape.map((b) => product(a.row, cov, b.row, n))),
    },
    photos: photos.map((p) => (shot.has(p.photo) && p.status !== 'left-out' ? usedPhoto(m, shot.get(p.photo)!, p) : p)),
    notes,
    camera: cameraOf(m),
    card: cardOf(m),
    surface: surfaceOf(m),
    budget: [
      ...budgetOf(doubt.value, axes.map(first), first(mean), first(meanRadius), fitted),
      ...(state.crowns ? [] : [believedLine(axes, mean, at, cov, n)]),
    ],
    fit: {
      stop: m.fit.stop,
      reducedChiSquare: reducedChiSquare(m),
      points: m.rounds.reduce((s, r) => s + r.outline.sigma.length, 0),
      outlineSigma: m.tau[0],
    },
    timing: {},
  });
}

/** A row over more parameters, on which it does not hang. */
function padded(row: Float64Array, n: number): Float64Array {
  const out = new Float64Array(n);
  out.set(row);
  return out;
}

/** An axis over its faces: with the crowns of both; a d4's with that of its one face. */
function overFaces(a: Linear, solid: DieSolid, crowns: Float64Array, at: number): Linear {
  const row = a.row.slice();
  let value = a.value;
  for (const name of a.name.split('-')) {
    const f = solid.labels.indexOf(name);
    if (f < 0) continue;
    row[at + f] = 1;
    value += crowns[f]!;
  }
  return { name: a.name, value, row };
}

/** What crowns that no photo showed add to the doubt, by what is believed of them. */
function believedLine(axes: readonly Linear[], mean: Linear, at: number, cov: Float64Array, n: number): BudgetLine {
  const crowns = (row: Float64Array): Float64Array => row.map((v, i) => (i < at ? 0 : v));
  const u = (row: Float64Array): number => Math.sqrt(Math.max(0, product(crowns(row), cov, crowns(row), n)));
  const differences = axes.flatMap((a, i) => axes.slice(0, i).map((b) => minus(a.row, b.row)));
  return { source: 'crown', meanAxis: u(mean.row), difference: median(differences.map(u)), meanRadius: 0 };
}

const unit = (n: number, i: number): Float64Array => Float64Array.from({ length: n }, (_, k) => (k === i ? 1 : 0));
const minus = (a: Float64Array, b: Float64Array): Float64Array => a.map((v, i) => v - b[i]!);
const meanOf = (list: readonly Linear[], n: number): Linear => ({
  name: 'mean',
  value: list.reduce((s, l) => s + l.value, 0) / list.length,
  row: Float64Array.from({ length: n }, (_, i) => list.reduce((s, l) => s + l.row[i]!, 0) / list.length),
});

function product(a: Float64Array, m: Float64Array, b: Float64Array, n: number): number {
  let s = 0;
  for (let i = 0; i < n; i++) {
    if (a[i] === 0) continue;
    let t = 0;
    for (let j = 0; j < n; j++) t += m[i * n + j]! * b[j]!;
    s += a[i]! * t;
  }
  return s;
}

/** Ascending by the numbers in a name. */
function byNumbers(a: string, b: string): number {
  const [p, q] = [a.split('-'), b.split('-')];
  for (let i = 0; i < Math.min(p.length, q.length); i++) {
    const d = Number(p[i]) - Number(q[i]);
    if (d !== 0 && !Number.isNaN(d)) return d;
  }
  return p.length - q.length || (a < b ? -1 : a > b ? 1 : 0);
}

/** Axes as rows: the sum of two opposite faces' distances; on a d4 from a face to the far side of the corner opposite. */
function axisRows(solid: DieSolid, state: DieState, body: Balls): Linear[] {
  const n = parameterCount(state);
  const out: Linear[] = [];
  if (solid.kind === 'd4') {
    for (let f = 0; f < solid.labels.length; f++) out.push(cornerAxis(solid, state, body, f, n));
    return out;
  }
  for (let f = 0; f < solid.labels.length; f++) {
    const o = solid.opposite[f]!;
    if (byNumbers(solid.labels[f]!, solid.labels[o]!) > 0) continue;
    const row = unit(n, f);
    row[o] = 1;
    out.push({ name: `${solid.labels[f]}-${solid.labels[o]}`, value: state.distances[f]! + state.distances[o]!, row });
  }
  return out;
}

function cornerAxis(solid: DieSolid, state: DieState, body: Balls, f: number, n: number): Linear {
  const normal = vec3At(solid.normals, f);
  let best = -1;
  let reach = -Infinity;
  for (let b = 0; b < body.count; b++) {
    const r = body.radii[b]! - dot(normal, vec3At(body.centres, b));
    if (r > reach) [reach, best] = [r, b];
  }
  // Far side along -normal: radius - normal . centre, centre = inverse . (distances - radius).
  const row = unit(n, f);
  const inverse = body.inverse.subarray(9 * best, 9 * best + 9);
  let sum = 0;
  for (let c = 0; c < 3; c++) {
    const g = normal[0] * inverse[c]! + normal[1] * inverse[3 + c]! + normal[2] * inverse[6 + c]!;
    row[body.faces[3 * best + c]!]! -= g;
    sum += g;
  }
  row[state.distances.length + body.corner[best]!]! += 1 + sum;
  return { name: `${solid.labels[f]}-corner`, value: state.distances[f]! + reach, row };
}

/** Area of the flat land of a face, mm^2: the polygon of the points where its balls touch it. */
function landArea(solid: DieSolid, face: number, body: Balls): number {
  const n = vec3At(solid.normals, face);
  const points: Vec3[] = [];
  for (let b = 0; b < body.count; b++)
    if ([0, 1, 2].some((c) => body.faces[3 * b + c] === face)) {
      const c = vec3At(body.centres, b);
      points.push([c[0] + body.radii[b]! * n[0], c[1] + body.radii[b]! * n[1], c[2] + body.radii[b]! * n[2]]);
    }
  if (points.length < 3) return 0;
  const a: Vec3 = Math.abs(n[2]) < 0.9 ? [-n[1], n[0], 0] : [0, -n[2], n[1]];
  const la = Math.hypot(...a);
  const x: Vec3 = [a[0] / la, a[1] / la, a[2] / la];
  const y: Vec3 = [n[1] * x[2] - n[2] * x[1], n[2] * x[0] - n[0] * x[2], n[0] * x[1] - n[1] * x[0]];
  const flat = points.map((p) => [dot(x, p), dot(y, p)] as const);
  const [cx, cy] = [0, 1].map((k) => flat.reduce((s, p) => s + p[k]!, 0) / flat.length) as [number, number];
  flat.sort((p, q) => Math.atan2(p[1] - cy, p[0] - cx) - Math.atan2(q[1] - cy, q[0] - cx));
  return (
    Math.abs(
      flat.reduce((s, p, i) => s + p[0] * flat[(i + 1) % flat.length]![1] - flat[(i + 1) % flat.length]![0] * p[1], 0),
    ) / 2
  );
}

/** What moves the outlines or the lengths beside noise and camera. */
function influencesOf(m: Measured): Influence[] {
  const { state, sheen } = m;
  const term = (t: number): (Float64Array | null)[] =>
    m.rounds.map((r) =>
      Float64Array.from({ length: r.outline.sigma.length }, (_, k) => r.outline.byTerm[k * TERM_COUNT + t]!),
    );
  const combined = (w: readonly number[]): Float64Array[] =>
    m.rounds.map((r) =>
      Float64Array.from({ length: r.outline.sigma.length }, (_, k) =>
        w.reduce((s, v, t) => s + v * r.outline.byTerm[k * TERM_COUNT + t]!, 0),
      ),
    );
  const sigma = (k: number): number => Math.sqrt(Math.max(0, sheen.covariance[4 * k]!));
  return [
    {
      source: 'edge',
      u: Math.hypot(TYPE_B.commonEdge, commonEdge(m)),
      onPoints: m.rounds.map((r) => new Float64Array(r.outline.sigma.length).fill(1)),
      onParameters: null,
    },
    // All of the rim's light together, then what the faces leave open between its parts.
    {
      source: 'sheen',
      u: TYPE_B.sheen,
      onPoints: combined([sheen.mirror, sheen.rough, sheen.limb]),
      onParameters: null,
    },
    {
      source: 'sheen',
      u: Math.min(0.3, sigma(0)),
      onPoints: combined([
        1,
        -(sheen.covariance[1]! < 0 ? Math.min(2, -sheen.covariance[1]! / Math.max(1e-9, sheen.covariance[0]!)) : 0),
        0,
      ]),
      onParameters: null,
    },
    { source: 'sheen', u: Math.min(0.5, sigma(2)), onPoints: term(2), onParameters: null },
    ...cardInfluences(m),
    { source: 'shade', u: TYPE_B.shade, onPoints: term(6), onParameters: null },
    { source: 'sharpening', u: m.responseU, onPoints: term(3), onParameters: null },
    ...(m.open?.shifts ?? []).map((s) => ({
      source: 'front',
      u: 1,
      onPoints: null,
      onParameters: padded(s, parameterCount(state)),
    })),
    { source: 'scale', u: m.calibration.print.u, onPoints: null, onParameters: lengthsOf(state) },
    ...(state.crowns ? [grazingEdge(m), hiddenAlike(state)] : []),
  ];
}

/** All crowns higher together: the light beside every face seen edge-on may be wrong alike. The threshold for standing out counts with as much. */
function hiddenAlike(state: DieState): Influence {
  const from = shapeCount(state) - state.distances.length;
  const onParameters = Float64Array.from({ length: parameterCount(state) }, (_, i) =>
    i >= from && i < shapeCount(state) ? 1 : 0,
  );
  return { source: 'crown', u: HIDDEN_ALIKE, onPoints: null, onParameters };
}

/** All outlines of crowned faces further out by one px. */
function grazingEdge({ rounds }: Measured): Influence {
  const onPoints = rounds.map(({ outline: { sigma, grazing } }) =>
    Float64Array.from(sigma, (_, k) => (grazing && grazing.face[k]! >= 0 ? 1 : 0)),
  );
  return { source: 'crown', u: TYPE_B.crownEdge, onPoints, onParameters: null };
}

/** How the parameters grow with the card's scale, per unit of its logarithm; crowns hardly do. */
const lengthsOf = (state: DieState): Float64Array =>
  Float64Array.from({ length: parameterCount(state) }, (_, i) =>
    i < state.distances.length ? state.distances[i]! : (state.radii[i - state.distances.length] ?? 0),
  );

const percent = (v: number): string => (100 * v).toFixed(2);

function setNotes(m: Measured): Note[] {
  const notes: Note[] = fitNotes(m);
  if (m.job.checkBar === null && m.job.checkBarY === null)
    notes.push({ code: 'scale-unchecked', seen: (200 * TYPE_B.uncheckedScale).toFixed(1), needed: 0 });
  const skew = Math.max(...m.calibration.motion.map((v) => Math.abs(v.skew)));
  // Where the points scatter still, a shear is not what is wrong.
  if (skew > SHUTTER.told && !notes.some((n) => n.code === 'card-scatter'))
    notes.push({ code: 'moved-camera', seen: percent(skew), needed: percent(SHUTTER.told) });
  const { contradiction } = m.calibration.print;
  if (contradiction && Math.abs(contradiction.bars - contradiction.card) > CONTRADICTION * contradiction.u)
    notes.push({ code: 'bars-differ', seen: percent(contradiction.bars), needed: percent(contradiction.card) });
  if (m.used.length === 1) notes.push({ code: 'one-photo', seen: 1 });
  if (m.sheen.faces < 4) notes.push({ code: 'sheen-unknown' });
  if (looksMetal(m.sheen)) notes.push({ code: 'metal', seen: Math.round(100 * m.sheen.light[2]) });
  const pattern = patternOf(m.rounds.map((r) => r.outline));
  if (pattern > PATTERNED) notes.push({ code: 'pattern', seen: pattern.toFixed(1), needed: PATTERNED });
  const grains = m.looks.map(({ noise }) => (noise.inside > GRAIN.least ? noise.outside / noise.inside : 1));
  const processing = processingOf(m.used);
  if (processing.note) notes.push(processing.note);
  else if (pattern < GRAIN.pattern && median(grains) < GRAIN.beside)
    notes.push({ code: 'portrait', seen: Math.round(100 * median(grains)) });
  const colour = colourNote(m);
  if (colour) notes.push(colour);
  const unseen = m.solid.labels.filter((_, f) => !m.rounds.some((r, i) => touches(m, i, f, r.outline.sigma.length)));
  if (unseen.length > 0) notes.push({ code: 'face-unseen', seen: unseen.join(', ') });
  return notes;
}

/** Whether a photo's outline says anything of a face: whether a point of it hangs on the face's distance by a tenth. */
function touches(m: Measured, i: number, face: number, count: number): boolean {
  if (count === 0) return false;
  const rows = photoRows(m.state, m.photos[i]!, i, m.rounds[i]!.outline, false);
  let n = 0;
  for (let k = 0; k < rows.index.length; k++)
    if (rows.index[k] === face && Math.abs(rows.value[k]!) > 1 && ++n > 3) return true;
  return false;
}

function reducedChiSquare(m: Measured): number {
  let [chi, count] = [0, 0];
  m.rounds.forEach((r, i) => {
    const rows = photoRows(m.state, m.photos[i]!, i, r.outline, false);
    for (const s of stretches(rows, r.outline, CUT, m.state).values()) {
      const w = s.weight / (1 + ownVariance(s, m.tau) * s.weight);
      chi += w * (s.residual / s.weight) ** 2;
      count++;
    }
  });
  return count > 0 ? chi / count : 0;
}

function usedPhoto(m: Measured, i: number, before: PhotoResult): PhotoResult {
  const round = m.rounds[i]!;
  const rows = photoRows(m.state, m.photos[i]!, i, round.outline, false);
  const look = m.looks[i]!;
  const { rotation } = m.photos[i]!.cameraFromCard;
  const contrast = median(
    Array.from(round.edges.contrast)
      .filter((c) => c !== 0)
      .map(Math.abs),
  );
  const blur = blurNote(look.blur, ACCEPT.softBlur);
  const notes: Note[] = blur ? [blur] : [];
  if (contrast < ACCEPT.contrast)
    notes.push({ code: 'low-contrast', seen: Math.round(contrast), needed: ACCEPT.contrast });
  const { survey, orientation } = m.used[i]!;
  return {
    ...remarked(before, notes),
    cardPoints: m.calibration.kept[i]!.filter(Boolean).length,
    cardSigma: m.calibration.sigma,
    lean: degrees(Math.acos(Math.min(1, Math.abs(rotation[8]!)))),
    scale: rows.count > 0 ? median(rows.scale) : null,
    blur: [look.blur.low, look.blur.high],
    outline: {
      ...uprightSize(survey, orientation),
      model: uprightPlaces(round.curve.xy, survey, orientation),
      points: uprightPlaces(round.outline.xy, survey, orientation),
      normals: uprightDirections(round.outline.normal, orientation),
      residuals: Array.from(rows.residual),
      sigmas: Array.from(round.outline.sigma),
    },
  };
}

function median(values: ArrayLike<number>): number {
  const s = Float64Array.from(values).sort();
  return s.length === 0 ? 0 : s[s.length >> 1]!;
}

function cameraOf(m: Measured): MeasureResult['camera'] {
  const { shared: c, covariance } = m.calibration;
  const size = SHARED + PER_PHOTO * m.photos.length;
  const { width, height } = m.used[0]!.survey;
  const u = [0, 1, 2, 3, 4].map((k) => Math.sqrt(covariance[k * size + k]!) * (k === 0 ? c.f : 1));
  return { width, height, f: c.f, cx: c.cx, cy: c.cy, k1: c.k1, k2: c.k2, u };
}

/** The kind with what was told of it beside: without these nobody could throw or measure the same die again. */
function dieOf({ solid, job: { numbering, apex } }: Measured): MeasureResult['die'] {
  return {
    kind: solid.kind,
    ...(apex === undefined ? {} : { apex }),
    ...(numbering === null ? {} : { numbering }),
  };
}

function cardOf(m: Measured): MeasureResult['card'] {
  const checked = m.job.checkBar !== null || m.job.checkBarY !== null;
  const [a, b, c] = m.calibration.bow;
  return {
    scaleX: m.calibration.print.x,
    scaleY: m.calibration.print.y,
    checked,
    bow: Math.max(Math.abs(a), Math.abs(b), Math.abs(c)),
    bars: { x: m.job.checkBar, y: m.job.checkBarY, u: m.job.checkBarU },
  };
}

function surfaceOf(m: Measured): MeasureResult['surface'] {
  const { sheen } = m;
  const u = (k: number): number => Math.sqrt(Math.max(0, sheen.covariance[4 * k]!));
  return {
    mirror: { value: sheen.mirror, u: u(0) },
    rough: { value: sheen.rough, u: u(1) },
    limb: { value: sheen.limb, u: u(2) },
    sharpening: { value: m.response.sharpening, u: m.responseU },
    sharpeningRadius: m.response.radius,
  };
}

/** Standard uncertainty that each source alone gives to the mean axis, to differences of axes, and to the mean radius. */
function budgetOf(doubt: Doubt, axes: readonly Linear[], mean: Linear, radius: Linear, n: number): BudgetLine[] {
  const differences = axes.flatMap((a, i) => axes.slice(0, i).map((b) => minus(a.row, b.row)));
  const line = (source: BudgetLine['source'], variance: (row: Float64Array) => number): BudgetLine => {
    const u = (row: Float64Array): number => Math.sqrt(Math.max(0, variance(row)));
    return { source, meanAxis: u(mean.row), difference: median(differences.map(u)), meanRadius: u(radius.row) };
  };
  const along = (shift: Float64Array, row: Float64Array): number => row.reduce((s, v, i) => s + v * shift[i]!, 0);
  const sources = [...new Set(doubt.influences.map((f) => f.source))] as BudgetLine['source'][];
  return [
    line('noise', (row) => product(row, doubt.noise, row, n)),
    line('camera', (row) => product(row, doubt.camera, row, n)),
    ...sources.map((s) =>
      line(s, (row) =>
        doubt.influences.filter((f) => f.source === s).reduce((v, f) => v + along(f.shift, row) ** 2, 0),
      ),
    ),
  ];
}
