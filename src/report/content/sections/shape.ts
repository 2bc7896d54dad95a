import { table, text, type Block, type Figure } from '../blocks.ts';
import { compareAxes } from '../../../figures/axis-comparison.ts';
import { COVERAGE_FACTOR } from '../../../judging/decision.ts';
import { twoLengths } from '../../../judging/two-lengths.ts';
import { axesFigure } from '../../../figures/axes.ts';
import { Pen } from '../../../figures/drawing.ts';
import { dieFigure } from '../../../figures/die.ts';
import { netFigure } from '../../../figures/net.ts';
import type { Language } from '../../../text/language.ts';
import { drawnRange } from '../../../maths/joint-draws.ts';
import { decimalsFor, NUMBERS } from '../numbers.ts';
import { visible } from '../../record/plain-text.ts';
import type { ReportData } from '../../record/record.ts';
import { SHAPE_WORDS } from '../words/shape-words.ts';

/** Drawings are as wide as both papers allow. */
export const FIGURE_WIDTH = 480;

const um = (x: number, language: Language): string => NUMBERS[language].told(1000 * x, 1);

/** Size, difference and rounding as plain sentences. */
export function shapeSentences({ result }: ReportData, language: Language): string[] {
  const words = SHAPE_WORDS[language];
  const { plusMinus } = NUMBERS[language];
  const { axes, meanAxis, rangeOfAxes, meanCornerRadius } = result;
  const c = compareAxes(
    axes.map((a) => a.length),
    result.axesCovariance,
  );
  const differ = plusMinus(rangeOfAxes.value, rangeOfAxes.u);
  return [
    words.meanAxis(plusMinus(meanAxis.value, meanAxis.u), result.die.kind === 'd4'),
    c.shown
      ? words.differ(visible(axes[c.longest]!.name), visible(axes[c.shortest]!.name), differ)
      : words.alike(differ),
    words.rounding(plusMinus(meanCornerRadius.value, meanCornerRadius.u)),
  ];
}

/** What doubt alone does to the range: it is judged by joint draws and not corrected. */
export function rangeText({ result }: ReportData, language: Language): Block[] {
  const { axes, axesCovariance, rangeOfAxes } = result;
  const drawn = drawnRange(
    axes.map((a) => a.length),
    Float64Array.from(axesCovariance.flat()),
  );
  if (drawn === null || axes.length < 2) return [];
  const most = NUMBERS[language].fixed(drawn.most, decimalsFor(COVERAGE_FACTOR * rangeOfAxes.u));
  return [
    text(
      SHAPE_WORDS[language].range(um(drawn.mean - rangeOfAxes.value, language), most, NUMBERS[language].fixed(97.7, 1)),
      true,
    ),
  ];
}

/** The axes' chart. */
export function axesChart(data: ReportData, language: Language): Figure {
  const words = SHAPE_WORDS[language];
  const { deviations } = compareAxes(
    data.result.axes.map((a) => a.length),
    data.result.axesCovariance,
  );
  const list = data.result.axes.map(
    (a, i) =>
      `${visible(a.name)}: ${um(deviations[i]!.value, language)} \u00b1 ${um(COVERAGE_FACTOR * deviations[i]!.u, language)} \u00b5m`,
  );
  return {
    caption: words.chart(typeof data.tolerance.range?.high === 'number', data.tolerance.size !== null),
    about: words.deviations(list.join('; ')),
    drawing: axesFigure(data, FIGURE_WIDTH, language),
  };
}

export function axesTable({ result }: ReportData, all: boolean, language: Language): Block {
  const words = SHAPE_WORDS[language];
  const { told, fixed } = NUMBERS[language];
  const d = compareAxes(
    result.axes.map((a) => a.length),
    result.axesCovariance,
  ).deviations;
  const two = twoLengths(result.axes) !== null;
  const digits = Math.max(...result.axes.map((a) => decimalsFor(COVERAGE_FACTOR * a.u)));
  const atEdges = ({ lengthAtEdges: e }: (typeof result.axes)[number]): string[] => {
    if (!two) return [];
    if (!e) return ['', ''];
    const places = decimalsFor(COVERAGE_FACTOR * e.u);
    return [told(e.value, places), told(COVERAGE_FACTOR * e.u, places)];
  };
  const edgeHeads = two ? words.headEdges : [];
  return table(
    words.axes,
    [...(all ? words.headAll : words.head), ...edgeHeads],
    result.axes.map((a, i) => {
      const rest = [um(d[i]!.value, language), um(COVERAGE_FACTOR * d[i]!.u, language), ...atEdges(a)];
      return all
        ? [
            visible(a.name),
            ...[a.length, a.u, COVERAGE_FACTOR * a.u, a.uCommon, a.uDifference].map((x) => fixed(x, 4)),
            ...rest,
          ]
        : [visible(a.name), told(a.length, digits), told(COVERAGE_FACTOR * a.u, digits), ...rest];
    }),
  );
}

/** The die with what stands out drawn on it, or nothing where its numbering is not known well enough. */
export function dieBlock({ result, job }: ReportData, height: number, language: Language): Block[] {
  try {
    const drawing = dieFigure(result, job?.numbering ?? null, FIGURE_WIDTH / 2, height);
    return [
      {
        kind: 'figure',
        caption: SHAPE_WORDS[language].die,
        about: SHAPE_WORDS[language].dieAbout(result.die.kind),
        drawing,
      },
    ];
  } catch {
    return [];
  }
}

/** The unfolded die, or nothing where its numbering is not known well enough to draw it. */
export function netBlock({ result, job }: ReportData, height: number, language: Language): Block[] {
  const { fixed, valueAndU95 } = NUMBERS[language];
  try {
    const drawing = netFigure(result, job?.numbering ?? null, FIGURE_WIDTH, height, language);
    const list = result.corners.map((c) => `${visible(c.name)}: ${fixed(c.radius, 2)} mm`);
    return [
      {
        kind: 'figure',
        caption: SHAPE_WORDS[language].net(valueAndU95(0, result.meanCornerRadius.u)[1]),
        about: SHAPE_WORDS[language].netAbout(list.join('; ')),
        drawing,
      },
    ];
  } catch {
    return [];
  }
}

/** The faces as photos show them, unfolded; nothing where no picture was at hand. */
export function facesBlock({ faces }: ReportData, most: number, language: Language): Block[] {
  if (faces === undefined) return [];
  const words = SHAPE_WORDS[language];
  const scale = Math.min(FIGURE_WIDTH / faces.width, most / faces.height);
  const [width, height] = [scale * faces.width, scale * faces.height];
  const pen = new Pen();
  pen.picture({ jpeg: faces.jpeg, pixels: [faces.width, faces.height] }, 0, 0, width, height);
  return [
    {
      kind: 'figure',
      caption: words.facesPicture(NUMBERS[language].fixed(faces.umPerPx, 0), faces.unseen.map(visible).join(', ')),
      about: words.facesPictureAbout(faces.faces.map((f) => `${visible(f.face)}: ${visible(f.photo)}`).join('; ')),
      drawing: pen.drawing(width, height),
    },
  ];
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
export function detailTables({ result }: ReportData, language: Language): Block[] {
  const words = SHAPE_WORDS[language];
  const { fixed } = NUMBERS[language];
  const rows = (list: readonly { name: string; radius: number; u: number }[]): string[][] =>
    list.map((c) => [visible(c.name), fixed(c.radius, 3), fixed(c.u, 3)]);
  const corners = result.die.kind === 'd20' ? 3 : 4;
  return [
    table(words.corners, times(words.headCorners, corners), beside(rows(result.corners), corners)),
    table(words.edges, times(words.headEdge, 4), beside(rows(result.edges), 4)),
    table(
      words.faces,
      times(words.headFaces, 2),
      beside(
        result.faces.map((f) => [visible(f.name), fixed(f.distance, 4), fixed(f.u, 4), fixed(f.land, 1)]),
        2,
      ),
    ),
  ];
}

/** Correlation is what matters between axes: the matrix in square micrometres. */
export function covarianceTable({ result }: ReportData, language: Language): Block {
  const words = SHAPE_WORDS[language];
  const { told } = NUMBERS[language];
  return table(
    words.covariance,
    [words.axis, ...result.axes.map((a) => `#${visible(a.name)}`)],
    result.axesCovariance.map((row, i) => [
      visible(result.axes[i]!.name),
      ...row.map((v) => told(1e6 * v, Math.abs(v) < 1e-4 ? 1 : 0)),
    ]),
    true,
  );
}
