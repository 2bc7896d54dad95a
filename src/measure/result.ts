import { fewDraws, knownRange } from '../maths/joint-draws.ts';
import { medianSeen } from '../maths/linear.ts';
import { CUT } from '../fit/normal-equations.ts';
import { passingRows, photoRows } from '../fit/photo-rows.ts';
import { ownVariance, stretches } from '../fit/stretches.ts';
import { degrees } from '../units.ts';
import { failure, success, type Result } from '../result.ts';
import { PER_PHOTO, SHARED } from '../vision/calibration.ts';
import { ACCEPT, blurNote } from './look.ts';
import { figuresOf, inOrder } from './figures.ts';
import { uprightDirections, uprightPlaces, uprightSize } from '../photo/orientation.ts';
import { remarked } from './photo-result.ts';
import { landArea, minus, type Linear } from './linear-lengths.ts';
import { setNotes } from './set-notes.ts';
import type { Measured } from './measured.ts';
import type { AxisResult, MeasureFailure, MeasureResult, Note, PhotoResult, Quantity } from '../formats/result.ts';

/** Puts a measured set into numbers with their doubt. */
export function resultOf(m: Measured, photos: readonly PhotoResult[]): Result<MeasureResult, MeasureFailure> {
  const { state, solid } = m;
  const figures = figuresOf(m);
  if (!figures) return failure({ code: 'rank', photos });
  const { axes, corners, faces, n, u, mean, quantity } = figures;
  const [sortedAxes, sortedEdges] = [inOrder(axes), inOrder(figures.edgeAxes)];
  const axesCovariance = figures.covarianceOf(sortedAxes);
  const shape = [...inOrder(faces), ...inOrder(corners)];
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
    axesCovariance,
    axesAtEdgesCovariance: figures.covarianceOf(sortedEdges),
    meanAxis: quantity(mean),
    rangeOfAxes: rangeOf(sortedAxes, axesCovariance, u),
    corners: inOrder(corners).map((c) => ({ name: c.name, radius: c.value, u: u(c.row) })),
    meanCornerRadius: quantity(figures.meanRadius),
    edges: inOrder(solid.edges.map((e) => ({ name: e.name, ends: e.corners }))).map((e) => {
      const row = new Float64Array(n);
      for (const c of e.ends) row[state.distances.length + c]! += 0.5;
      return { name: e.name, radius: (state.radii[e.ends[0]]! + state.radii[e.ends[1]]!) / 2, u: u(row) };
    }),
    faces: inOrder(faces).map((f) => ({
      name: f.name,
      distance: f.value,
      u: u(f.row),
      land: landArea(solid, solid.labels.indexOf(f.name), figures.body),
      crown: figures.crownOf(solid.labels.indexOf(f.name)),
    })),
    shapeCovariance: {
      names: shape.map((s, i) => `${i < faces.length ? 'face' : 'corner'} ${s.name}`),
      matrix: figures.covarianceOf(shape),
    },
    photos: photos.map((p) => (shot.has(p.photo) && p.status !== 'left-out' ? usedPhoto(m, shot.get(p.photo)!, p) : p)),
    notes: setNotes(m),
    camera: cameraOf(m),
    card: cardOf(m),
    surface: surfaceOf(m),
    budget: figures.budget(mean, figures.meanRadius),
    fit: {
      stop: m.fit.stop,
      cameraStop: m.calibration.stop,
      reducedChiSquare: reducedChiSquare(m),
      points: m.rounds.reduce((s, r) => s + r.outline.sigma.length, 0),
      outlineSigma: m.tau[0],
    },
    timing: {},
  });
}

/** The outermost of the axes, and the doubt of their distance: by draws, since of axes that nearly tie any may be the outer one. */
function rangeOf(
  axes: readonly Linear[],
  covariance: readonly (readonly number[])[],
  u: (row: Float64Array) => number,
): Quantity {
  const [least, most] = [
    axes.reduce((p, q) => (q.value < p.value ? q : p)),
    axes.reduce((p, q) => (q.value > p.value ? q : p)),
  ];
  const lengths = axes.map((a) => a.value);
  const drawn = knownRange(lengths, Float64Array.from(covariance.flat()), undefined, fewDraws(axes.length));
  return { value: most.value - least.value, u: drawn?.u ?? u(minus(most.row, least.row)) };
}

function reducedChiSquare(m: Measured): number {
  let [chi, count] = [0, 0];
  for (const [i, { outline }] of m.rounds.entries()) {
    const rows = passingRows(m.state, m.photos[i]!, i, outline, false);
    for (const s of stretches(rows, outline, CUT, m.state, false).values()) {
      const w = s.weight / (1 + ownVariance(s, m.tau) * s.weight);
      chi += w * (s.residual / s.weight) ** 2;
      count++;
    }
  }
  return count > 0 ? chi / count : 0;
}

function usedPhoto(m: Measured, i: number, before: PhotoResult): PhotoResult {
  const round = m.rounds[i]!;
  const rows = photoRows(m.state, m.photos[i]!, i, round.outline, false, false);
  const look = m.looks[i]!;
  const { rotation } = m.photos[i]!.cameraFromCard;
  const contrast = medianSeen(
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
    scale: rows.count > 0 ? medianSeen(rows.scale) : null,
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
