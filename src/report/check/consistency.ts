import type { DetailCode } from './check-words.ts';
import type { Detail } from './detail.ts';
import type { ReportResult } from '../record/record.ts';

/** Lengths closer than this are the same, mm. */
const SAME = 1e-9;

const mean = (v: readonly number[]): number => v.reduce((s, x) => s + x, 0) / v.length;

/** Numbers of a result that do not follow from each other as they must; empty where all do. A changed digit mostly shows here. */
export function inconsistencies(r: ReportResult): Detail[] {
  const out: Detail[] = [];
  const same = (code: DetailCode, name: string, stated: number, due: number): void => {
    if (!(Math.abs(stated - due) <= SAME * Math.max(1, Math.abs(due)))) out.push({ code, values: [name, stated, due] });
  };
  // Variances are held against each other, and told as what a person reads: their roots.
  const sameU = (code: DetailCode, name: string, u: number, variance: number): void => {
    const before = out.length;
    same(code, name, u ** 2, variance);
    if (out.length > before) out[before] = { code, values: [name, u, Math.sqrt(Math.max(0, variance))] };
  };
  const lengths = r.axes.map((a) => a.length);
  same('mean-axis', '', r.meanAxis.value, mean(lengths));
  same('range-of-axes', '', r.rangeOfAxes.value, Math.max(...lengths) - Math.min(...lengths));
  const face = new Map(r.faces.map((f) => [f.name, f.distance]));
  const crown = new Map(r.faces.map((f) => [f.name, f.crown?.value]));
  r.axes.forEach((a, i) => {
    sameU('axis-u', a.name, a.u, r.axesCovariance[i]![i]!);
    const ends = a.name.split('-').map((n) => face.get(n));
    if (ends.length !== 2 || ends[0] === undefined || ends[1] === undefined) return;
    same('axis-at-edges', a.name, a.lengthAtEdges?.value ?? a.length, ends[0] + ends[1]);
    const [p, q] = a.name.split('-').map((n) => crown.get(n));
    if (a.lengthAtEdges && p !== undefined && q !== undefined)
      same('axis', a.name, a.length, a.lengthAtEdges.value + p + q);
  });
  if (r.corners.length > 0)
    same('mean-corner-radius', '', r.meanCornerRadius.value, mean(r.corners.map((c) => c.radius)));
  for (const e of r.edges) {
    const faces = e.name.split('-');
    const ends = r.corners.filter((c) => faces.every((f) => c.name.split('-').includes(f)));
    if (ends.length === 2) same('edge', e.name, e.radius, mean(ends.map((c) => c.radius)));
  }
  const { names, matrix } = r.shapeCovariance;
  for (const [kind, list] of [
    ['face', r.faces],
    ['corner', r.corners],
  ] as const)
    for (const x of list) {
      const i = names.indexOf(`${kind} ${x.name}`);
      if (i >= 0) sameU(`${kind}-u`, x.name, x.u, matrix[i]![i]!);
    }
  return out;
}
