import type { Numbering } from '../geometry/numbering.ts';
import { dieSolid } from '../geometry/solid.ts';
import { compareAxes } from './axis-comparison.ts';
import { dieView } from './die-view.ts';
import { mostUneven } from './uneven-corner.ts';
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
  result: Pick<ReportResult, 'axes' | 'axesCovariance' | 'corners'>,
  solid: { readonly labels: readonly string[]; readonly corners: readonly { readonly name: string }[] },
): Standout {
  const { axes, corners } = result;
  const compared = compareAxes(
    axes.map(({ length }) => length),
    result.axesCovariance,
  );
  const end = (axis: number): number | null => {
    const face = solid.labels.indexOf(axes[axis]!.name.split('-')[0]!);
    return compared.shown && face >= 0 ? face : null;
  };
  const worst = corners[mostUneven(corners.map(({ radius }) => radius))]!;
  return {
    long: end(compared.longest),
    short: end(compared.shortest),
    corner: solid.corners.findIndex(({ name }) => name === worst.name),
  };
}

/** Size of the axes' names, points. */
const LABEL = 8;

/** The die with its longest and shortest axis and its most uneven corner. @throws {Error} Where numbering and kind do not fit. */
export function dieFigure(result: ReportResult, numbering: Numbering | null, width: number, height: number): Drawing {
  const solid = dieSolid(result.die.kind, numbering ?? undefined);
  const { long, short, corner } = standout(result, solid);
  const asked = [long, short].flatMap((face, i) => (face === null ? [] : [{ face, kind: i === 0 ? 'long' : 'short' }]));
  const view = dieView(
    solid,
    asked.map(({ face }) => ({ face, opposite: solid.opposite[face]! })),
    corner < 0 ? null : corner,
  );
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
    pen.path(
      polyline(outline.map(at), true),
      { width: 0.7 },
      facing > 0.7 ? '#ffffff' : facing > 0.35 ? '#f4f5f3' : INK.pale,
    );
    const size = Math.min(11, reach * k * 0.9);
    const [x, y] = at(middle);
    if (size >= 3.5) pen.text(solid.labels[face]!, x, y + 0.35 * size, { size, anchor: 'middle', bold: true });
  }
  view.axes.forEach(({ near, far, nearTip, farTip }, i) => {
    line(near, far, [1, 1.5], 0.4);
    line(near, nearTip, asked[i]!.kind === 'short' ? [3, 2] : []);
    const name = result.axes.find((a) => a.name.split('-')[0] === solid.labels[asked[i]!.face])!.name;
    // A d4's axis is named once: its far end may hide behind a face.
    const ends = [
      [near, nearTip],
      [far, farTip],
    ] as const;
    for (const [end, tip] of solid.opposite[asked[i]!.face]! < 0 ? ends.slice(0, 1) : ends) {
      const [[x0, y0], [x, y]] = [at(end), at(tip)];
      const way = Math.max(1e-6, Math.hypot(x - x0, y - y0));
      const [dx, dy] = [(x - x0) / way, (y - y0) / way];
      // Beyond the tip and inside the frame: a name is about half its size wide per letter.
      const half = 0.32 * LABEL * name.length;
      const across = x + dx * (half + 3);
      const down = y + dy * (LABEL / 2 + 3) + 0.36 * LABEL;
      pen.text(name, Math.min(width - half, Math.max(half, across)), Math.min(height - 3, Math.max(LABEL, down)), {
        size: LABEL,
        anchor: 'middle',
        bold: true,
      });
    }
  });
  if (view.corner !== null) pen.dot(...at(view.corner), 5, null, { width: 1.2 });
  return pen.drawing(width, height);
}
