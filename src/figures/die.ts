import type { Numbering } from '../geometry/numbering.ts';
import { dieSolid } from '../geometry/solid.ts';
import { compareAxes } from './axis-comparison.ts';
import { dieView } from './die-view.ts';
import { INK, Pen, polyline, type Drawing } from './drawing.ts';
import type { ReportResult } from '../formats/report.ts';

/** What stands out on a die: axes by a face at their end where they differ, and the corner whose rounding is furthest from the mean. */
export interface Standout {
  readonly long: number | null;
  readonly short: number | null;
  /** Index in the solid's corners; -1 where the result names none of them. */
  readonly corner: number;
}

/** What stands out on a measured die, in the order of `labels` and `corners` of its solid. */
export function standout(
  result: Pick<ReportResult, 'axes' | 'axesCovariance' | 'corners' | 'meanCornerRadius'>,
  solid: { readonly labels: readonly string[]; readonly corners: readonly { readonly name: string }[] },
): Standout {
  const { axes, corners, meanCornerRadius } = result;
  const compared = compareAxes(
    axes.map(({ length }) => length),
    result.axesCovariance,
  );
  const end = (axis: number): number | null => {
    const face = solid.labels.indexOf(axes[axis]!.name.split('-')[0]!);
    return compared.shown && face >= 0 ? face : null;
  };
  const off = (radius: number): number => Math.abs(radius - meanCornerRadius.value);
  const worst = corners.reduce((a, b) => (off(b.radius) > off(a.radius) ? b : a));
  return {
    long: end(compared.longest),
    short: end(compared.shortest),
    corner: solid.corners.findIndex(({ name }) => name === worst.name),
  };
}

/** The die with its longest and shortest axis and its most uneven corner. @throws {Error} Where numbering and kind do not fit. */
export function dieFigure(result: ReportResult, numbering: Numbering | null, width: number, height: number): Drawing {
  const solid = dieSolid(result.die.kind, numbering ?? undefined);
  const { long, short, corner } = standout(result, solid);
  const asked = [long, short].flatMap((face, i) => (face === null ? [] : [{ face, kind: i === 0 ? 'long' : 'short' }]));
  const view = dieView(solid, asked.map(({ face }) => ({ face, opposite: solid.opposite[face]! })), corner < 0 ? null : corner); // prettier-ignore
  const pen = new Pen();
  const [left, top, w, h] = view.frame;
  const k = Math.min((width - 40) / w, (height - 30) / h);
  const at = ([x, y]: readonly [number, number]): readonly [number, number] => [
    width / 2 + (x - left - w / 2) * k,
    height / 2 + (y - top - h / 2) * k,
  ];
  const line = (a: readonly [number, number], b: readonly [number, number], dash: number[], by = 1.6): void =>
    pen.path(polyline([at(a), at(b)]), { width: by, dash });
  view.axes.forEach(({ far, farTip }, i) => line(far, farTip, asked[i]!.kind === 'short' ? [3, 2] : []));
  for (const { face, outline, middle, facing, reach } of view.faces) {
    pen.path(polyline(outline.map(at), true), { width: 0.7 }, facing > 0.7 ? '#ffffff' : facing > 0.35 ? '#f4f5f3' : INK.pale); // prettier-ignore
    const size = Math.min(11, reach * k * 0.9);
    const [x, y] = at(middle);
    if (size >= 3.5) pen.text(solid.labels[face]!, x, y + 0.35 * size, { size, anchor: 'middle', bold: true });
  }
  view.axes.forEach(({ near, far, nearTip, farTip }, i) => {
    line(near, far, [1, 1.5], 0.4);
    line(near, nearTip, asked[i]!.kind === 'short' ? [3, 2] : []);
    const name = result.axes.find((a) => a.name.split('-')[0] === solid.labels[asked[i]!.face])!.name;
    for (const tip of [nearTip, farTip]) {
      const [x, y] = at([tip[0] * 1.16, tip[1] * 1.16]);
      pen.text(name, x, y + 3, { size: 8, anchor: 'middle', bold: true });
    }
  });
  if (view.corner !== null) pen.dot(...at(view.corner), 5, 'none', { width: 1.2 });
  return pen.drawing(width, height);
}
