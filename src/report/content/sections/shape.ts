import { table, text, type Block, type Figure } from '../blocks.ts';
import { compareAxes } from '../../../figures/axis-comparison.ts';
import { COVERAGE_FACTOR } from '../../../judging/decision.ts';
import { twoLengths } from '../../../judging/two-lengths.ts';
import { axesFigure } from '../../../figures/axes.ts';
import { dieFigure } from '../../../figures/die.ts';
import { netFigure } from '../../../figures/net.ts';
import { told } from '../../../figures/scale.ts';
import { drawnRange } from '../../../maths/joint-draws.ts';
import { decimalsFor, plusMinus, valueAndU95 } from '../numbers.ts';
import { visible } from '../../record/plain-text.ts';
import type { ReportData } from '../../record/record.ts';

/** Drawings are as wide as both papers allow. */
export const FIGURE_WIDTH = 480;

const um = (x: number, digits = 1): string => told(1000 * x, digits);

/** Size, difference and rounding as plain sentences. */
export function shapeSentences({ result }: ReportData): string[] {
  const { axes, meanAxis, rangeOfAxes, meanCornerRadius } = result;
  const c = compareAxes(
    axes.map((a) => a.length),
    result.axesCovariance,
  );
  const names = `${visible(axes[c.longest]!.name)} is the longest axis, ${visible(axes[c.shortest]!.name)} the shortest`;
  const differ = plusMinus(rangeOfAxes.value, rangeOfAxes.u);
  return [
    `The mean axis (the distance between two opposite faces${result.die.kind === 'd4' ? '; on a d4 from a face to the corner opposite' : ''}) is ${plusMinus(meanAxis.value, meanAxis.u)}.`,
    c.shown
      ? `${names}; they differ by ${differ}. The die is out of round.`
      : `The axes differ by ${differ} at most; no difference between them is shown.`,
    `Corners and edges are rounded with a radius of ${plusMinus(meanCornerRadius.value, meanCornerRadius.u)} on average.`,
  ];
}

/** What doubt alone does to the range: it is judged by joint draws and not corrected. */
export function rangeText({ result }: ReportData): Block[] {
  const { axes, axesCovariance, rangeOfAxes } = result;
  const drawn = drawnRange(axes.map((a) => a.length), Float64Array.from(axesCovariance.flat())); // prettier-ignore
  if (drawn === null || axes.length < 2) return [];
  return [
    text(
      `The range of the axes is judged by joint draws of all of them, since of several that nearly tie any may be the outer one. The draws lie ${um(drawn.mean - rangeOfAxes.value)} \u00b5m above the range found in the mean, and below ${drawn.most.toFixed(decimalsFor(COVERAGE_FACTOR * rangeOfAxes.u))} mm with 97.7 %: doubt alone pulls the outermost apart, and nothing is taken off for it.`,
      true,
    ),
  ];
}

/** The axes' chart. */
export function axesChart(data: ReportData): Figure {
  const { deviations } = compareAxes(data.result.axes.map((a) => a.length), data.result.axesCovariance); // prettier-ignore
  const list = data.result.axes.map((a, i) => `${visible(a.name)}: ${um(deviations[i]!.value)} \u00b1 ${um(COVERAGE_FACTOR * deviations[i]!.u)} \u00b5m`); // prettier-ignore
  const band = typeof data.tolerance.range?.high === 'number';
  return {
    caption: `Axes: deviation from their mean (dot) with U95 (bar).${band ? ' Below, the range that was found and the most that is allowed.' : ''}${data.tolerance.size ? ' Below: the mean axis and its limits (hatched).' : ''}`,
    about: `Deviation of each axis from the mean: ${list.join('; ')}.`,
    drawing: axesFigure(data, FIGURE_WIDTH),
  };
}

export function axesTable({ result }: ReportData, all: boolean): Block {
  const d = compareAxes(result.axes.map((a) => a.length), result.axesCovariance).deviations; // prettier-ignore
  const two = twoLengths(result.axes) !== null;
  const digits = Math.max(...result.axes.map((a) => decimalsFor(COVERAGE_FACTOR * a.u)));
  const atEdges = ({ lengthAtEdges: e }: (typeof result.axes)[number]): string[] => {
    if (!two) return [];
    if (!e) return ['', ''];
    const places = decimalsFor(COVERAGE_FACTOR * e.u);
    return [told(e.value, places), told(COVERAGE_FACTOR * e.u, places)];
  };
  const edgeHeads = two ? ['#At the edges', '#\u00b1\u00a0U95'] : [];
  return table(
    'Axes, mm; deviation from the mean, \u00b5m',
    all
      ? ['Axis', '#Length', '#u', '#U95', '#u, common', '#u, own', '#Deviation', '#\u00b1\u00a0U95', ...edgeHeads]
      : ['Axis', '#Length', '#\u00b1\u00a0U95', '#Deviation', '#\u00b1\u00a0U95', ...edgeHeads],
    result.axes.map((a, i) => {
      const rest = [um(d[i]!.value), um(COVERAGE_FACTOR * d[i]!.u), ...atEdges(a)];
      return all
        ? [visible(a.name), a.length.toFixed(4), a.u.toFixed(4), (COVERAGE_FACTOR * a.u).toFixed(4), a.uCommon.toFixed(4), a.uDifference.toFixed(4), ...rest] // prettier-ignore
        : [visible(a.name), told(a.length, digits), told(COVERAGE_FACTOR * a.u, digits), ...rest];
    }),
  );
}

/** The die with what stands out drawn on it, or nothing where its numbering is not known well enough. */
export function dieBlock({ result, job }: ReportData, height: number): Block[] {
  try {
    const drawing = dieFigure(result, job?.numbering ?? null, FIGURE_WIDTH / 2, height);
    return [
      {
        kind: 'figure',
        caption: 'The longest axis (full line) and the shortest (dashed), where they differ; ringed: the corner whose radius is furthest from the mean.', // prettier-ignore
        about: `A ${result.die.kind} with its longest and shortest axis.`,
        drawing,
      },
    ];
  } catch {
    return [];
  }
}

/** The unfolded die, or nothing where its numbering is not known well enough to draw it. */
export function netBlock({ result, job }: ReportData, height: number): Block[] {
  try {
    const drawing = netFigure(result, job?.numbering ?? null, FIGURE_WIDTH, height);
    const list = result.corners.map((c) => `${visible(c.name)}: ${c.radius.toFixed(2)} mm`);
    return [
      {
        kind: 'figure',
        caption: `The die unfolded: each corner's radius in mm, in the faces that meet there; U95 of the mean radius ${valueAndU95(0, result.meanCornerRadius.u)[1]} mm.`,
        about: `Corner radii: ${list.join('; ')}.`,
        drawing,
      },
    ];
  } catch {
    return [];
  }
}

/** Rows side by side, in `columns` columns of columns. */
function beside(rows: readonly (readonly string[])[], columns: number): string[][] {
  const height = Math.ceil(rows.length / columns);
  const width = rows[0]?.length ?? 0;
  return Array.from({ length: height }, (_, r) =>
    Array.from({ length: columns }, (_c, c) => rows[c * height + r] ?? Array<string>(width).fill('')).flat(),
  );
}

const times = (head: readonly string[], n: number): string[] => Array.from({ length: n }, () => head).flat();

/** Corners, edges and faces, each with u. */
export function detailTables({ result }: ReportData): Block[] {
  const rows = (list: readonly { name: string; radius: number; u: number }[]): string[][] =>
    list.map((c) => [visible(c.name), c.radius.toFixed(3), c.u.toFixed(3)]);
  const corners = result.die.kind === 'd20' ? 3 : 4;
  return [
    table('Corner radii, mm', times(['Corner', '#Radius', '#u'], corners), beside(rows(result.corners), corners)),
    table('Edge radii (mean of both ends), mm', times(['Edge', '#Radius', '#u'], 4), beside(rows(result.edges), 4)),
    table(
      "Faces: distance from the die's middle, at its edges, mm; land, mm\u00b2",
      times(['Face', '#Distance', '#u', '#Land'], 2),
      beside(
        result.faces.map((f) => [visible(f.name), f.distance.toFixed(4), f.u.toFixed(4), f.land.toFixed(1)]),
        2,
      ),
    ),
  ];
}

/** Correlation is what matters between axes: the matrix in square micrometres. */
export const covarianceTable = ({ result }: ReportData): Block =>
  table(
    'Covariance of the axes, \u00b5m\u00b2 (that of faces and corners stands in the attached data)',
    ['Axis', ...result.axes.map((a) => `#${visible(a.name)}`)],
    result.axesCovariance.map((row, i) => [visible(result.axes[i]!.name), ...row.map((v) => told(1e6 * v, Math.abs(v) < 1e-4 ? 1 : 0))]), // prettier-ignore
    true,
  );
