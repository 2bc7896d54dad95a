import { describe, expect, test } from 'vitest';
import type { PhotoOutline } from '../src/formats/result.ts';
import * as drawing from '../src/ui/kit/outline-drawing.ts';
import { departureRms, departures } from '../src/figures/departures.ts';
import { roundStep } from '../src/figures/scale.ts';
import { roundedUp, ticksAround } from '../src/ui/kit/ticks.ts';

/** A circle of 100 px about (500, 400); the measured edge lies `residual` outside it. */
function circle(residual: (k: number) => number, sigma: (k: number) => number = () => 0.1, n = 200): PhotoOutline {
  const angle = (k: number): number => (2 * Math.PI * k) / n;
  const per = <T>(of: (k: number) => T): T[] => Array.from({ length: n }, (_, k) => of(k));
  const ring = (radius: (k: number) => number): number[] =>
    per((k) => [500 + radius(k) * Math.cos(angle(k)), 400 + radius(k) * Math.sin(angle(k))]).flat();
  return {
    width: 100,
    height: 80,
    model: ring(() => 100),
    points: ring((k) => 100 + residual(k)),
    normals: per((k) => [Math.cos(angle(k)), Math.sin(angle(k))]).flat(),
    residuals: per(residual),
    sigmas: per(sigma),
  };
}

const pointsOf = (path: string): number[][] =>
  path
    .split(/[ML]/)
    .filter(Boolean)
    .map((point) => point.split(' ').map(Number));
const radii = (path: string): number[] => pointsOf(path).map(([x, y]) => Math.hypot(x! - 500, y! - 400));

describe('departures', () => {
  test('are drawn along the normal, as many times enlarged as asked', () => {
    for (const enlargement of [1, 50])
      for (const radius of radii(
        drawing.departurePath(
          circle(() => 0.2),
          enlargement,
        ),
      ))
        expect(radius).toBeCloseTo(100 + 0.2 * enlargement, 1);
  });

  test('close round the outline without a break', () => {
    const path = drawing.departurePath(
      circle((k) => Math.sin(k / 9)),
      10,
    );
    expect(path.match(/M/g)).toHaveLength(1);
    const points = pointsOf(path);
    expect(points).toHaveLength(201);
    expect(points.at(-1)).toEqual(points[0]);
  });

  test('weigh neighbours by their sharpness', () => {
    const blunt = (k: number): boolean => k % 2 === 1;
    const shown = departures(
      circle(
        (k) => (blunt(k) ? 5 : 0.1),
        (k) => (blunt(k) ? 5 : 0.1),
      ),
    );
    for (const value of shown) expect(value).toBeCloseTo(0.1, 1);
    expect(
      departureRms(
        circle(
          (k) => (blunt(k) ? 5 : 0.1),
          (k) => (blunt(k) ? 500 : 0.1),
        ),
      ),
    ).toBeCloseTo(0.1, 3);
  });

  test('break off where the edge is too faint, and where points are missing', () => {
    const faint = circle(
      () => 0.1,
      (k) => (k >= 50 && k < 80 ? 4 : 0.1),
    );
    const shown = departures(faint);
    expect([...shown].filter(Number.isNaN).length).toBeGreaterThan(15);
    expect(shown[65]).toBeNaN();
    expect(shown[150]).toBeCloseTo(0.1, 9);
    const whole = circle(() => 0.1);
    const gap: PhotoOutline = {
      ...whole,
      points: whole.points.slice(40),
      normals: whole.normals.slice(40),
      residuals: whole.residuals.slice(20),
      sigmas: whole.sigmas.slice(20),
    };
    expect(drawing.departurePath(gap, 10).match(/M/g)).toHaveLength(2);
  });

  test('of an outline without points draw nothing', () => {
    const none: PhotoOutline = {
      width: 100,
      height: 80,
      model: [],
      points: [],
      normals: [],
      residuals: [],
      sigmas: [],
    };
    expect(drawing.departurePath(none, 10)).toBe('');
    expect(drawing.modelPath(none)).toBe('');
    expect(departureRms(none)).toBe(0);
  });

  test('are enlarged as far as they stay near the die', () => {
    expect(drawing.fittingEnlargement([circle(() => 0.1)])).toBe(200);
    expect(drawing.fittingEnlargement([circle(() => 0.1), circle(() => 2)])).toBe(10);
    expect(drawing.fittingEnlargement([circle(() => 500)])).toBe(1);
  });
});

describe('views', () => {
  test('hold the whole die with its middle in the middle', () => {
    const view = drawing.dieView(circle(() => 0));
    expect(view.x + view.width / 2).toBeCloseTo(500, 6);
    expect(view.y + view.height / 2).toBeCloseTo(400, 6);
    expect(view.height).toBeGreaterThan(200);
    expect(view.width / view.height).toBeCloseTo(drawing.ASPECT, 9);
  });

  test('hold the whole photo, upright or not; pixel centres are whole numbers', () => {
    expect(drawing.photoView(2000, 1500)).toEqual({ x: -0.5, y: -0.5, width: 2000, height: 1500 });
    expect(drawing.photoView(1500, 2000)).toMatchObject({ y: -0.5, height: 2000 });
  });

  test('zoom about their middle, within bounds', () => {
    const view = drawing.around(100, 50, 80);
    expect(drawing.zoomed(view, 0.5, 10, 1000)).toEqual(drawing.around(100, 50, 40));
    expect(drawing.zoomed(view, 0.01, 10, 1000).width).toBe(10);
    expect(drawing.zoomed(view, 100, 10, 1000).width).toBe(1000);
  });
});

describe('round numbers', () => {
  test.each([
    [100, 5, 20],
    [70, 5, 20],
    [0.9, 3, 0.5],
    [780, 6, 200],
  ])('step of %d in at most %d parts: %d', (span, count, step) => {
    expect(roundStep(span, count)).toBeCloseTo(step, 12);
  });

  test('ticks stand around an exact zero', () => {
    expect(ticksAround(52, 20)).toEqual([-40, -20, 0, 20, 40]);
    expect(ticksAround(5, 20)).toEqual([0]);
    expect([0.9, 1, 1.01, 21, 316, 0.4].map(roundedUp)).toEqual([1, 1, 2, 50, 500, 0.5]);
  });

  test.each([
    [100, 110, 1],
    [1, 110, 100],
    [330, 110, 0.2],
    [55, 110, 2],
  ])('scale bar: %d px a departure of 1 px, at most %d long: %d', (onScreen, longest, bar) => {
    expect(drawing.scaleBar(onScreen, longest)).toBeCloseTo(bar, 12);
  });
});
