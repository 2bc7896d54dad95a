import { CARD, CARD_EDGES } from '../geometry/card.ts';
import { mapped, type Homography } from '../maths/homography.ts';
import { median } from '../maths/linear.ts';
import { lumaPatch, type Picture } from '../vision/picture.ts';

/** An edge of less contrast tells no blur, display values. */
const LEAST_CONTRAST = 30;
/** Edges of the ring whose blur is looked at, and the pixels on either side. */
const BLUR_EDGES = 24;
const REACH = 7;
/** Rise of a blurred step over its slope: the square root of two pi, times sigma. */
const STEP_WIDTH = Math.sqrt(2 * Math.PI);

/** Middle blur of printed edges: contrast over steepest slope. The print's own softness is part of it. */
export function cardBlur(frame: Picture, h: Homography): number | null {
  const every = Math.max(1, Math.floor(CARD_EDGES.length / BLUR_EDGES));
  const seen = CARD_EDGES.filter((_, i) => i % every === 0).flatMap(({ from, to, normal }) => {
    const middle: readonly [number, number] = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
    const [u, v] = mapped(h, ...middle);
    const [nu, nv] = mapped(h, middle[0] + normal[0], middle[1] + normal[1]);
    const length = Math.hypot(nu - u, nv - v);
    const margin = REACH + 2;
    if (u < margin || v < margin || u > frame.width - 1 - margin || v > frame.height - 1 - margin) return [];
    const width = profileWidth(frame, u, v, (nu - u) / length, (nv - v) / length);
    return width === null ? [] : [width];
  });
  return seen.length >= BLUR_EDGES / 3 ? median(seen) : null;
}

function profileWidth(frame: Picture, u: number, v: number, nu: number, nv: number): number | null {
  const patch = lumaPatch(frame, u - REACH - 1, v - REACH - 1, u + REACH + 1, v + REACH + 1);
  const value = (t: number): number => {
    const [x, y] = [u + t * nu - patch.left, v + t * nv - patch.top];
    const [i, j] = [Math.floor(x), Math.floor(y)];
    const [a, b] = [x - i, y - j];
    const p = (k: number, l: number): number => patch.data[(j + l) * patch.width + i + k]!;
    return (p(0, 0) * (1 - a) + p(1, 0) * a) * (1 - b) + (p(0, 1) * (1 - a) + p(1, 1) * a) * b;
  };
  const values = Array.from({ length: 4 * REACH + 1 }, (_, k) => value(k / 2 - REACH));
  const steepest = Math.max(...values.slice(2).map((w, k) => w - values[k]!));
  const contrast = Math.max(...values) - Math.min(...values);
  return contrast < LEAST_CONTRAST || steepest <= 0 ? null : contrast / steepest / STEP_WIDTH;
}

/** Half the white between a black square and the next marker's own border, mm. */
const BESIDE = (CARD.square - CARD.marker) / 4;

/** Brightness of the stage near its border, and how far black and white squares are apart. */
export function cardLight(frame: Picture, h: Homography): { level: number; contrast: number } {
  const at = (x: number, y: number): number[] => {
    const [u, v] = mapped(h, x, y).map(Math.round) as [number, number];
    if (u < 0 || v < 0 || u >= frame.width || v >= frame.height) return [];
    const p = (v * frame.width + u) * frame.channels;
    return [Math.max(frame.data[p]!, frame.data[p + 1]!, frame.data[p + 2]!)];
  };
  const stage = [-0.85, -0.6, -0.3, 0, 0.3, 0.6, 0.85].flatMap((t) =>
    [-0.88, 0.88].flatMap((e) => [
      ...at((t * CARD.stageWidth) / 2, (e * CARD.stageHeight) / 2),
      ...at((e * CARD.stageWidth) / 2, (t * CARD.stageHeight) / 2),
    ]),
  );
  const sides = CARD_EDGES.filter((_, i) => i % 5 === 0).map(({ from, to, normal }) => {
    const [x, y] = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
    return [
      ...at(x + BESIDE * normal[0], y + BESIDE * normal[1]),
      ...at(x - BESIDE * normal[0], y - BESIDE * normal[1]),
    ];
  });
  const steps = sides.flatMap(([white, black]) => (black === undefined ? [] : [white! - black]));
  return {
    level: stage.length > 0 ? median(stage) : 0,
    contrast: steps.length > 0 ? median(steps) : 0,
  };
}
