import type { Acceptance } from '../../lots/acceptance.ts';
import type { Components } from '../../lots/components.ts';
import type { Finishing } from '../../lots/finishing.ts';
import { trendAt } from '../../lots/fitted-trend.ts';
import type { Lot } from '../../lots/lot.ts';
import { LOT_WORDS } from '../../lots/lot-words.ts';
import { ALPHA } from '../../lots/moments.ts';
import { tQuantile } from '../../maths/distributions.ts';
import { INK, Pen, polyline, type Drawing } from '../../figures/drawing.ts';
import { decimalsOf, roundStep, ticks, toldIn } from '../../figures/scale.ts';
import { axisName } from '../../text/axis-name.ts';
import type { Language } from '../../text/language.ts';

const RIGHT = 14;

/** Components of variance: a bar per source, its standard deviation in um with the 95 % interval, its share at the right. */
export function componentsFigure({ components }: Components, width: number, language: Language = 'en'): Drawing {
  const told = toldIn(language);
  const pen = new Pen();
  const [head, row, share] = [16, 26, 40];
  const rows = components.map((c) => ({
    ...c,
    um: [c.variance.value, c.variance.low, c.variance.high].map((v) => 1000 * Math.sqrt(v)) as [number, number, number],
  }));
  const most = 1.04 * Math.max(0.1, ...rows.map((r) => r.um[2]));
  const x = (v: number): number => (v / most) * (width - share);
  const step = roundStep(most, 7);
  const bottom = head + row * rows.length;
  for (const t of ticks(0, most, step)) {
    pen.line(x(t), head - 3, x(t), bottom, { width: 0.4, colour: INK.light });
    pen.text(told(t, decimalsOf(step)), x(t), head - 6, {
      size: 7,
      anchor: t === 0 ? 'start' : 'middle',
      colour: INK.grey,
    });
  }
  rows.forEach(({ source, um, share: part }, i) => {
    const y = head + row * i;
    pen.text(LOT_WORDS[language].sources[source], 2, y + 8);
    if (um[0] > 0) pen.rectangle(0, y + 12, x(um[0]), 8, { width: 0.5 }, INK.light);
    if (source !== 'measurement') pen.whisker(x(um[1]), x(um[2]), y + 16);
    pen.text(`${told(100 * part, 0)} %`, width, y + 19, { anchor: 'end', bold: true });
  });
  return pen.drawing(width, bottom + 2);
}

/** Each axis of each die as a ring, from the mean of all axes; the lot's mean as a stroke. um. */
export function axesSpreadFigure({ dice }: Lot, width: number, language: Language = 'en'): Drawing {
  const told = toldIn(language);
  const pen = new Pen();
  const names = dice[0]?.axes.map((a) => a.name) ?? [];
  const all = dice.flatMap((d) => d.axes.map((a) => a.value));
  const middle = all.reduce((s, v) => s + v, 0) / all.length;
  const [head, row, left] = [18, 15, 46];
  const off = names.map((_, i) => dice.map((d) => 1000 * (d.axes[i]!.value - middle)));
  const reach = 1.05 * Math.max(1, ...off.flat().map(Math.abs));
  const x = (v: number): number => (left + width - RIGHT) / 2 + (v / reach) * ((width - left - RIGHT) / 2);
  const step = roundStep(2 * reach, Math.max(4, Math.floor(width / 60)));
  const bottom = head + row * names.length;
  for (const t of ticks(-reach, reach, step)) {
    pen.line(x(t), head - 2, x(t), bottom, { width: t === 0 ? 0.8 : 0.4, colour: t === 0 ? INK.grey : INK.light });
    pen.text(told(t, decimalsOf(step), true), x(t), head - 6, { size: 7, anchor: 'middle', colour: INK.grey });
  }
  names.forEach((name, i) => {
    const y = head + row * (i + 0.5);
    pen.text(axisName(name, language), 0, y + 3, { bold: true });
    for (const v of off[i]!) pen.dot(x(v), y, 1.8, '#ffffff', { width: 0.5, colour: INK.grey });
    const m = off[i]!.reduce((s, v) => s + v, 0) / dice.length;
    pen.line(x(m), y - 5, x(m), y + 5, { width: 1.8, colour: INK.accent });
  });
  return pen.drawing(width, bottom + 2);
}

interface Frame {
  readonly x: (v: number) => number;
  readonly y: (v: number) => number;
}

/** Axes with ticks around a plot; the functions place values in it. */
function frame(
  pen: Pen,
  width: number,
  height: number,
  xs: readonly [number, number],
  ys: readonly [number, number],
  language: Language,
): Frame {
  const told = toldIn(language);
  const [left, top, bottom] = [44, 6, 16];
  const x = (v: number): number => left + ((v - xs[0]) / (xs[1] - xs[0])) * (width - left - RIGHT);
  const y = (v: number): number => top + ((ys[1] - v) / (ys[1] - ys[0])) * (height - top - bottom);
  const [sx, sy] = [roundStep(xs[1] - xs[0], Math.max(3, width / 55)), roundStep(ys[1] - ys[0], 5)];
  for (const t of ticks(ys[0], ys[1], sy)) {
    pen.line(left, y(t), width - RIGHT, y(t), { width: 0.4, colour: INK.light });
    pen.text(told(t, decimalsOf(sy)), left - 4, y(t) + 2.5, { size: 7, anchor: 'end', colour: INK.grey });
  }
  for (const t of ticks(xs[0], xs[1], sx))
    pen.text(told(t, decimalsOf(sx)), x(t), height - 4, { size: 7, anchor: 'middle', colour: INK.grey });
  return { x, y };
}

const padded = (values: readonly number[], share = 0.06): [number, number] => {
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const pad = share * (high - low || Math.abs(high) || 1);
  return [low - pad, high + pad];
};

/** Values over time or order, mm, with the fitted trend where there is one, its 95 % band and the limits in reach. */
export function courseFigure(
  course: Finishing,
  limits: readonly number[],
  width: number,
  language: Language = 'en',
): Drawing {
  const pen = new Pen();
  const height = 150;
  const trend = course.followed && course.trend.ok ? course.trend.value : null;
  const xs = padded(course.times, 0.03);
  const near = limits.filter((l) => {
    const [low, high] = padded(course.values, 1);
    return l >= low && l <= high;
  });
  const { x, y } = frame(pen, width, height, xs, padded([...course.values, ...near]), language);
  for (const l of near) pen.line(x(xs[0]), y(l), x(xs[1]), y(l), { width: 0.9, dash: [5, 3] });
  if (trend !== null && trend.df > 0) {
    const t = tQuantile(1 - ALPHA / 2, trend.df);
    const at = Array.from({ length: 41 }, (_, i) => xs[0] + (i / 40) * (xs[1] - xs[0]));
    for (const [side, w] of [
      [0, 1.4],
      [1, 0.5],
      [-1, 0.5],
    ] as const)
      pen.path(
        polyline(
          at.map((v) => {
            const { value, u } = trendAt(trend, v);
            return [x(v), y(value + side * t * u)] as const;
          }),
        ),
        { width: w, colour: INK.accent },
      );
  }
  course.values.forEach((v, i) => pen.dot(x(course.times[i]!), y(v), 1.8, '#ffffff', { width: 0.6 }));
  return pen.drawing(width, height);
}

/** Control chart of individuals, um; marked points as filled squares. */
export function chartFigure(course: Finishing, width: number, language: Language = 'en'): Drawing | null {
  const chart = course.chart;
  if (chart === null) return null;
  const pen = new Pen();
  const height = 120;
  const um = chart.values.map((v) => 1000 * v);
  const [lower, centre, upper] = [chart.lower, chart.centre, chart.upper].map((v) => 1000 * v) as [
    number,
    number,
    number,
  ];
  const { x, y } = frame(pen, width, height, [0, um.length + 1], padded([...um, lower, upper]), language);
  for (const l of [lower, upper]) pen.line(x(0), y(l), x(um.length + 1), y(l), { width: 0.9, dash: [5, 3] });
  pen.line(x(0), y(centre), x(um.length + 1), y(centre), { width: 0.6, colour: INK.grey });
  pen.path(polyline(um.map((v, i) => [x(i + 1), y(v)] as const)), { width: 0.7, colour: INK.accent });
  const marked = new Set([...chart.signals.map((s) => s.index), ...chart.rangeSignals]);
  um.forEach((v, i) => {
    if (marked.has(i)) pen.rectangle(x(i + 1) - 3, y(v) - 3, 6, 6, { width: 0.5 }, INK.black);
    else pen.dot(x(i + 1), y(v), 1.6);
  });
  return pen.drawing(width, height);
}

/** Operating characteristic: chance of acceptance by per cent outside; the producer's and the buyer's points as rings. */
export function curveFigure({ curve, producer, buyer }: Acceptance, width: number, language: Language = 'en'): Drawing {
  const pen = new Pen();
  const height = 150;
  const most = 100 * (curve.at(-1)?.share ?? 1);
  const { x, y } = frame(pen, width, height, [0, most], [0, 100], language);
  pen.path(polyline(curve.map((p) => [x(100 * p.share), y(100 * p.accepted)] as const)), {
    width: 1.4,
    colour: INK.accent,
  });
  for (const [share, accepted] of [
    [producer, 95],
    [buyer, 10],
  ] as const)
    if (100 * share <= most) pen.dot(x(100 * share), y(accepted), 2.6, '#ffffff', { width: 1 });
  return pen.drawing(width, height);
}
