import { tuple } from '../maths/tuple.ts';
import { median, solve } from '../maths/linear.ts';
import type { FaceRelief } from './face-relief.ts';
import { dilated, eroded, parts } from './masks.ts';

export const MARKS = {
  /**
   * Energy from which a pixel departs; noise alone reaches it in about one pixel of a thousand (chi-square of one view, 10.8 at 0.1 %;
   * the mean of several views less often).
   */
  energy: 10,
  /** Least area of a mark, mm^2: a disc of 0.5 mm. What is smaller is dust or noise. */
  area: 0.2,
  /** Share of the faces that may carry something before the skin itself is taken to be patterned, and no mark is told; one face always may. */
  patterned: 0.15,
  /** Share of the energy that all views have alike from which it is colour, which is no mark of a mould: relief changes with the light. */
  alike: 0.8,
  /** Views that must each show it, and the mean energy that each must show inside. */
  views: 2,
  eachView: 4,
  /** Longest against shortest extent, longest extent in mm, share of it that must lie on the land: streaks and shades of edges are none. */
  slender: 2.2,
  longest: 4,
  within: 0.85,
} as const;

/** A mark in its face's picture; places in mm from the middle, right and up in the face's frame. */
export interface FoundMark {
  readonly face: number;
  readonly place: readonly [number, number];
  /** Full width and height along its own long and short axis, mm; long first. */
  readonly size: readonly [number, number];
  /** Direction of the long axis, radians counter-clockwise from right. */
  readonly angle: number;
  /** Mean energy inside: how plainly it is seen. */
  readonly energy: number;
}

export interface FoundMarks {
  readonly marks: readonly FoundMark[];
  /** Whether marks can be told from the skin's own pattern. */
  readonly patterned: boolean;
  /** Diameter of the smallest mark that would have been seen, mm: the size asked for, or more where noise is high; null where nothing was seen. */
  readonly least: number | null;
  /** Faces that no view shows straight enough. */
  readonly unseen: readonly number[];
}

/** Marks on all faces of a die. @param reliefs  One per face, null where none shows it. */
export function findMarks(reliefs: readonly (FaceRelief | null)[]): FoundMarks {
  const candidates = reliefs.map((r, face) => (r === null ? [] : onFace(r, face)));
  const marked = candidates.filter((c) => c.length > 0).length;
  const seen = reliefs.filter((r) => r !== null).length;
  const patterned = seen > 0 && marked > Math.max(1, MARKS.patterned * seen);
  const least = seen === 0 || patterned ? null : 2 * Math.sqrt(MARKS.area / Math.PI);
  return {
    marks: patterned ? [] : candidates.flat(),
    patterned,
    least,
    unseen: reliefs.flatMap((r, face) => (r === null ? [face] : [])),
  };
}

function onFace(r: FaceRelief, face: number): FoundMark[] {
  const { size, umPerPx } = r;
  const high = departing(r, MARKS.energy);
  // Flanks on both sides of a flat top belong together; single pixels go.
  const closed = eroded(dilated(high, size, 2), size, 1);
  const mm2 = (umPerPx / 1000) ** 2;
  const found: FoundMark[] = [];
  let besideInk: Uint8Array | null = null;
  for (const pixels of parts(eroded(dilated(eroded(closed, size, 1), size, 2), size, 1), size)) {
    if (within(pixels, high) * mm2 < MARKS.area / 2 || pixels.length * mm2 < MARKS.area) continue;
    besideInk ??= dilated(r.ink, size, Math.round(600 / umPerPx));
    // The ink's own border: a streak along it, no wider than what blur and shade make there.
    if (within(pixels, besideInk) > 0.8 * pixels.length) continue;
    const mark = markOf(r, face, pixels);
    if (mark) found.push(mark);
  }
  return found;
}

/** The seen pixels of more energy than so much. */
function departing({ seen, energy }: FaceRelief, least: number): Uint8Array {
  const out = new Uint8Array(energy.length);
  for (let k = 0; k < out.length; k++) if (seen[k] === 1 && energy[k]! > least) out[k] = 1;
  return out;
}

/** How many of some pixels a mask has. */
function within(pixels: readonly number[], mask: Uint8Array): number {
  let n = 0;
  for (const k of pixels) n += mask[k]!;
  return n;
}

/** The ellipse of a thing's border: its pixels' spread, and what ink hides of it taken as the rest of the ellipse. */
function markOf(r: FaceRelief, face: number, pixels: readonly number[]): FoundMark | null {
  const { size, umPerPx, energy, mean, noise, views } = r;
  const whole = fittedEllipse(r, pixels);
  const ellipse = (whole.a > SLIVER * whole.b ? hiddenDisc(r, pixels) : null) ?? whole;
  const half = (size - 1) / 2;
  const mm = umPerPx / 1000;
  const inside = pixels.filter((k) => r.seen[k] === 1);
  const total = inside.reduce((s, k) => s + Math.max(0, energy[k]! - 1), 0);
  const alike = inside.reduce((s, k) => s + Math.max(0, (mean[k]! / noise) ** 2 - 1 / views), 0);
  const shown = r.byView.filter((z) => inside.reduce((s, k) => s + z[k]! * z[k]!, 0) > MARKS.eachView * inside.length);
  if (views < MARKS.views || shown.length < views || alike > MARKS.alike * total) return null;
  if (ellipse.a > MARKS.slender * ellipse.b || 2 * ellipse.a * mm > MARKS.longest) return null;
  if (shareOnLand(r, ellipse) < MARKS.within) return null;
  return {
    face,
    place: [(ellipse.x - half) * mm, (half - ellipse.y) * mm],
    size: [Math.max(mm, 2 * ellipse.a * mm), Math.max(mm, 2 * ellipse.b * mm)],
    angle: ellipse.angle,
    energy: inside.reduce((s, k) => s + energy[k]!, 0) / Math.max(1, inside.length),
  };
}

/** Share of the disc round an ellipse, half as wide again, that lies on the land. */
function shareOnLand({ size, inner }: FaceRelief, { x, y, a }: Ellipse): number {
  let [all, on] = [0, 0];
  const reach = 1.5 * a;
  for (let j = Math.floor(y - reach); j <= y + reach; j++)
    for (let i = Math.floor(x - reach); i <= x + reach; i++) {
      if (Math.hypot(i - x, j - y) > reach) continue;
      all++;
      on += i >= 0 && j >= 0 && i < size && j < size ? inner[j * size + i]! : 0;
    }
  return on / Math.max(1, all);
}

interface Ellipse {
  readonly x: number;
  readonly y: number;
  readonly a: number;
  readonly b: number;
  readonly angle: number;
}

/** Energy that a pixel of a mark has at least, against what one of the bare face has: where gain changes its sign. */
const LEVEL = 3;
const MOST_GAIN = 6;
/** What departs further than this from a thing is not its own, px. */
const OWN = 4;

/**
 * The ellipse that holds most of the energy above the level and least of the bare face: started from the thing's moments, then moved
 * step by step, no wider than the picture: where it holds more of the bare face than of a mark, growing alone would better it for ever.
 * Hidden pixels count for neither.
 */
function fittedEllipse({ size, sized, energy }: FaceRelief, pixels: readonly number[]): Ellipse {
  const thing = new Uint8Array(size * size);
  for (const k of pixels) thing[k] = 1;
  const own = dilated(thing, size, OWN);
  const gain = new Float32Array(energy.length);
  for (let k = 0; k < gain.length; k++)
    gain[k] = sized[k] === 0 ? 0 : Math.min(own[k] === 1 ? MOST_GAIN : LEVEL / 2, energy[k]!) - LEVEL;
  let best = fromMoments(pixels, size);
  let top = score(best, gain, size);
  for (let step = 2; step > 0.1;) {
    let [next, most] = [best, top];
    for (const one of near(best, step, size)) {
      const s = score(one, gain, size);
      if (s > most) [next, most] = [one, s];
    }
    if (most > top) [best, top] = [next, most];
    else step /= 2;
  }
  return best.a >= best.b ? best : { ...best, a: best.b, b: best.a, angle: best.angle + Math.PI / 2 };
}

/** Ellipses a step from one: moved, wider or narrower one way, turned, and both axes together, since a disc grows as a disc. */
function near(e: Ellipse, step: number, size: number): Ellipse[] {
  const out: Ellipse[] = [];
  for (const d of [step, -step]) out.push({ ...e, x: Math.max(0, e.x + d) });
  for (const d of [step, -step]) out.push({ ...e, y: Math.max(0, e.y + d) });
  for (const d of [step, -step]) out.push({ ...e, a: extent(e.a + d, size) });
  for (const d of [step, -step]) out.push({ ...e, b: extent(e.b + d, size) });
  for (const d of [step, -step]) out.push({ ...e, angle: e.angle + d / Math.max(e.a, 4) });
  for (const d of [step, -step]) out.push({ ...e, a: extent(e.a + d, size), b: extent(e.b + d, size) });
  return out;
}

const extent = (e: number, size: number): number => Math.min(size, Math.max(2, e));

/** What an ellipse holds of the gain. */
function score({ x, y, a, b, angle }: Ellipse, gain: Float32Array, size: number): number {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  let sum = 0;
  const reach = Math.ceil(Math.max(a, b)) + 1;
  for (let j = Math.max(0, Math.floor(y - reach)); j <= Math.min(size - 1, y + reach); j++)
    for (let i = Math.max(0, Math.floor(x - reach)); i <= Math.min(size - 1, x + reach); i++) {
      // Up is against y.
      const u = (c * (i - x) - s * (j - y)) / a;
      const v = (s * (i - x) + c * (j - y)) / b;
      const rho = Math.sqrt(u * u + v * v);
      // One pixel of the border counts in part: the score changes smoothly.
      const share = Math.min(1, Math.max(0, (1 - rho) * Math.min(a, b) + 0.5));
      // A bump's flanks show, its flat top does not: what lies towards the middle counts less.
      if (share > 0) sum += share * rho * rho * gain[j * size + i]!;
    }
  return sum;
}

/** An ellipse longer than this against its breadth may be the visible rim of a disc that the ink hides. */
const SLIVER = 1.6;
const DISC = {
  /** Scatter of the rim's pixels about a circle, share of its radius; share of the disc that ink hides, at least. */
  scatter: 0.25,
  hidden: 0.25,
} as const;

/**
 * The disc whose rim a thing's strongest pixels are, most of the rest lying under ink; null where they are no rim, or nothing is hidden.
 * Circle by least squares of x^2 + y^2 = 2 x x0 + 2 y y0 + c (I. Kasa, 1976), weighted by energy.
 */
function hiddenDisc({ size, sized, energy, seen }: FaceRelief, pixels: readonly number[]): Ellipse | null {
  const rim = pixels.filter((k) => sized[k] === 1 && energy[k]! > MARKS.energy / 2);
  const a = new Float64Array(9);
  const b = new Float64Array(3);
  for (const k of rim) {
    const [x, y] = [k % size, Math.floor(k / size)];
    const w = Math.min(energy[k]!, 4 * MARKS.energy);
    const t = [2 * x, 2 * y, 1];
    for (let i = 0; i < 3; i++) {
      b[i]! += w * t[i]! * (x * x + y * y);
      for (let j = 0; j < 3; j++) a[3 * i + j]! += w * t[i]! * t[j]!;
    }
  }
  const found = rim.length < 6 ? null : solve(a, b, 3);
  if (found === null) return null;
  const [x, y, c] = tuple(found, 3);
  const radius = Math.sqrt(Math.max(0, c + x * x + y * y));
  const off = rim.map((k) => Math.hypot((k % size) - x, Math.floor(k / size) - y) - radius);
  const scatter = Math.sqrt(off.reduce((s, d) => s + d * d, 0) / off.length);
  if (!(radius > 2 && radius < size / 6 && scatter < DISC.scatter * radius)) return null;
  let [all, hidden] = [0, 0];
  for (let j = Math.floor(y - radius); j <= y + radius; j++)
    for (let i = Math.floor(x - radius); i <= x + radius; i++) {
      if (i < 0 || j < 0 || i >= size || j >= size || Math.hypot(i - x, j - y) > radius) continue;
      all++;
      hidden += 1 - seen[j * size + i]!;
    }
  if (hidden < DISC.hidden * all) return null;
  return { x, y, a: radius, b: radius, angle: 0 };
}

function fromMoments(pixels: readonly number[], size: number): Ellipse {
  const n = pixels.length;
  const xs = pixels.map((k) => k % size);
  const ys = pixels.map((k) => Math.floor(k / size));
  const [x, y] = [median(xs), median(ys)];
  const r = Math.max(2.5, Math.sqrt(n / Math.PI));
  return { x, y, a: r, b: r, angle: 0 };
}
