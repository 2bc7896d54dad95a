import { dieSolid, type DieKind } from '../../src/geometry/solid.ts';
import type { MeasureResult, PhotoResult } from '../../src/formats/result.ts';

/** Some lengths that differ a little, always the same. */
const wobble = (i: number): number => 0.02 * Math.sin(2.3 * i + 0.7);

/** A result as measuring gives it, made without photos: nominal lengths with a little wobble, doubts of the usual size. */
export function madeResult(kind: DieKind, photos: readonly string[] = ['01.jpg', '02.jpg']): MeasureResult {
  const solid = dieSolid(kind);
  const labels = [...solid.labels].sort((a, b) => Number(a) - Number(b));
  const faces = labels.map((name, i) => ({ name, distance: 8 + wobble(i), u: 0.025, land: 60, crown: null }));
  const corners = solid.corners.map((c, i) => ({ name: c.name, radius: 0.7 + 2 * wobble(i), u: 0.02 }));
  const edges = solid.edges.map((e) => {
    const ends = e.corners.map((c) => corners[c]!.radius);
    return { name: e.name, radius: (ends[0]! + ends[1]!) / 2, u: 0.02 };
  });
  const distance = (f: number): number => faces.find((x) => x.name === solid.labels[f])!.distance;
  const axes = labels.flatMap((name) => {
    const f = solid.labels.indexOf(name);
    const o = solid.opposite[f]!;
    const length = kind === 'd4' ? 4 * distance(f) - 2 : distance(f) + distance(o);
    if (o >= 0 && Number(solid.labels[o]) < Number(name)) return [];
    return [
      {
        name: kind === 'd4' ? `${name}-corner` : `${name}-${solid.labels[o]}`,
        length,
        u: Math.sqrt(0.0025),
        uCommon: 0.049,
        uDifference: 0.005,
      },
    ];
  });
  const lengths = axes.map((a) => a.length);
  const square = (n: number, own: (i: number) => number, shared: (i: number, j: number) => number): number[][] =>
    Array.from({ length: n }, (_, i) => Array.from({ length: n }, (_v, j) => (i === j ? own(i) : shared(i, j))));
  const mean = (v: readonly number[]): number => v.reduce((s, x) => s + x, 0) / v.length;
  const nf = faces.length;
  return {
    format: 'evencast-result/1',
    die: { kind },
    axes,
    axesCovariance: square(
      axes.length,
      () => 0.0025,
      () => 0.00245,
    ),
    meanAxis: { value: mean(lengths), u: 0.0495 },
    rangeOfAxes: { value: Math.max(...lengths) - Math.min(...lengths), u: 0.01 },
    corners,
    meanCornerRadius: { value: mean(corners.map((c) => c.radius)), u: 0.011 },
    edges,
    faces,
    shapeCovariance: {
      names: [...faces.map((f) => `face ${f.name}`), ...corners.map((c) => `corner ${c.name}`)],
      matrix: square(
        nf + corners.length,
        (i) => (i < nf ? 0.025 ** 2 : 0.02 ** 2),
        (i, j) => (i < nf && j < nf ? 0.0006 : 0),
      ),
    },
    photos: photos.map(madePhoto),
    notes: [{ code: 'scale-unchecked', seen: '0.6', needed: 0 }],
    camera: {
      width: 2016,
      height: 1512,
      f: 2050,
      cx: 1011,
      cy: 749,
      k1: 0.02,
      k2: -0.03,
      u: [2.5, 0.3, 0.3, 0.001, 0.004],
    },
    card: { scaleX: { value: 1, u: 0.003 }, scaleY: { value: 1, u: 0.003 }, checked: false, bow: 0.004 },
    surface: {
      mirror: { value: 0.1, u: 0.2 },
      rough: { value: 0.5, u: 0.3 },
      limb: { value: 0.3, u: 0.3 },
      sharpening: { value: 0.4, u: 0.08 },
      sharpeningRadius: 1.5,
    },
    budget: [
      { source: 'noise', meanAxis: 0.003, difference: 0.007, meanRadius: 0.009 },
      { source: 'scale', meanAxis: 0.048, difference: 0.0005, meanRadius: 0.002 },
      { source: 'edge', meanAxis: 0.004, difference: 0.0001, meanRadius: 0.002 },
    ],
    fit: { stop: 'converged', reducedChiSquare: 1.04, points: 400, outlineSigma: 0.012 },
    timing: { decode: 0.1 },
  };
}

/** A photo with a round outline of 200 points. */
function madePhoto(photo: string, k: number): PhotoResult {
  const turn = Array.from({ length: 200 }, (_, i) => (2 * Math.PI * i) / 200);
  const ring = (r: number): number[] => turn.flatMap((t) => [1000 + r * Math.cos(t), 750 + r * Math.sin(t)]);
  return {
    photo,
    up: String(k + 1),
    front: String(k + 2),
    status: 'used',
    code: null,
    remark: null,
    notes: [],
    cardPoints: 48,
    cardSigma: 0.05,
    lean: 7.1,
    scale: 0.074,
    blur: [0.5, 0.3],
    outline: {
      width: 2016,
      height: 1512,
      model: ring(120),
      points: ring(120),
      normals: turn.flatMap((t) => [Math.cos(t), Math.sin(t)]),
      residuals: turn.map((t) => 0.1 * Math.sin(5 * t)),
      sigmas: turn.map(() => 0.12),
    },
  };
}
