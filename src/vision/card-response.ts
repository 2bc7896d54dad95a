import { CARD_EDGES, type CardEdge } from '../geometry/card.ts';
import { minimise } from '../maths/least-squares.ts';
import { median } from '../maths/linear.ts';
import type { CardMap } from './card-map.ts';
import { EdgePixels, type Band } from './edge-pixels.ts';
import type { Picture } from './picture.ts';
import { SPREAD_SIZE, SpreadModel, type EdgeSpread } from './spread-model.ts';
import type { ToneCurve } from './tone.ts';

export type { EdgeSpread };

/** Card edges within this share of the stage centre's distance are used: further off the lens blurs otherwise. */
const NEAR = 0.045;
export const SPREAD = { step: 0.2, reach: 5, slant: 0.0245, contrast: 60, plateau: 4 } as const;
const BINS = Math.round((2 * SPREAD.reach) / SPREAD.step) + 1;
/** Middles of the bins, px from the edge. */
const PLACES = Float64Array.from({ length: BINS }, (_, b) => b * SPREAD.step - SPREAD.reach);

/** The edge spread of one photo, or null where too few clean edges are seen. */
export function edgeSpread(picture: Picture, map: CardMap): EdgeSpread | null {
  const edges = new EdgePixels(picture, { ...SPREAD, band: BAND, bins: BINS });
  const blacks: number[] = [];
  const whites: number[] = [];
  let pixels = 0;
  for (const edge of CARD_EDGES) {
    const plateaus = plateausOf(edges, picture, map, edge);
    if (!plateaus) continue;
    blacks.push(plateaus.black);
    whites.push(plateaus.white);
    pixels += edges.binned;
    edges.add();
  }
  if (blacks.length < 6) return null;
  const luma = new Float64Array(BINS);
  for (let b = 0; b < BINS; b++) {
    if (edges.count(b) < 12) return null;
    luma[b] = edges.sum(b) / edges.count(b);
  }
  return {
    s: PLACES,
    luma,
    black: median(blacks),
    white: median(whites),
    pixels,
  };
}

/** Takes the pixels of one edge; returns its plateaus, null where it is not clean. */
function plateausOf(
  pixels: EdgePixels,
  picture: Picture,
  map: CardMap,
  edge: CardEdge,
): { readonly black: number; readonly white: number } | null {
  const band = bandAlong(picture, map, edge);
  if (!band) return null;
  pixels.look(band);
  const { black, white } = pixels;
  if (!(white - black > SPREAD.contrast)) return null;
  // A marker or a shadow in the plateau spoils the edge.
  return pixels.lightBelow(white - 40, 0.1) ? null : { black, white };
}

/** Pixels round an edge reach so far, px. */
const BAND = SPREAD.reach + 2;

function bandAlong(picture: Picture, map: CardMap, edge: CardEdge): Band | null {
  const middle = [(edge.from[0] + edge.to[0]) / 2, (edge.from[1] + edge.to[1]) / 2] as const;
  if (Math.abs(map.depth(...middle) / map.depth(0, 0) - 1) > NEAR) return null;
  const a = map.at(...edge.from);
  const z = map.at(...edge.to);
  const m = map.at(...middle);
  const q = map.at(middle[0] + 0.3 * edge.normal[0], middle[1] + 0.3 * edge.normal[1]);
  const length = Math.hypot(z[0] - a[0], z[1] - a[1]);
  const [tx, ty] = [(z[0] - a[0]) / length, (z[1] - a[1]) / length];
  const side = (q[0] - m[0]) * ty - (q[1] - m[1]) * tx < 0 ? -1 : 1;
  const [nx, ny] = [side * ty, -side * tx];
  // An edge along the pixel rows is sampled at one phase only.
  if (Math.min(Math.abs(nx), Math.abs(ny)) < SPREAD.slant || length < 12) return null;
  const sag = (m[0] - (a[0] + z[0]) / 2) * nx + (m[1] - (a[1] + z[1]) / 2) * ny;
  const [x0, x1] = [Math.floor(Math.min(a[0], z[0]) - BAND), Math.ceil(Math.max(a[0], z[0]) + BAND)];
  const [y0, y1] = [Math.floor(Math.min(a[1], z[1]) - BAND), Math.ceil(Math.max(a[1], z[1]) + BAND)];
  if (x0 < 0 || y0 < 0 || x1 >= picture.width || y1 >= picture.height) return null;
  return { ax: a[0], ay: a[1], tx, ty, nx, ny, length, sag, x0, x1, y0, y1 };
}

/** How a camera sharpens (or its format softens), and how it blurs the card. */
export interface CardResponse {
  /** Amount of the unsharp mask, and its radius, px. */
  readonly amount: number;
  readonly radius: number;
  /** Blur of the light at the card, px. */
  readonly blur: number;
  /** Root mean square of what the model leaves, display values. */
  readonly misfit: number;
}

/** Beliefs about a camera's sharpening; standard deviations (common practice: radii about a pixel, amounts up to one). */
export const SHARPENING_PRIOR = { amount: 0.6, radius: 1.4, logRadius: 0.1 } as const;

/** Half a display value: how far a mean luma may lie off. */
const SIGMA = 0.5;
/** What is believed of the parameters beside the luma: so many more residuals. */
const BELIEFS = 5;
/** Step of the derivatives. */
const STEP = 1e-4;

/** What parameters leave of a spread, and the derivatives of that. */
class SpreadResiduals {
  private readonly spread: EdgeSpread;
  private readonly model: SpreadModel;
  private readonly luma: Float64Array;
  private readonly moved: Float64Array;
  readonly count: number;

  constructor(spread: EdgeSpread, tone: ToneCurve) {
    this.spread = spread;
    this.model = new SpreadModel(spread, tone);
    this.luma = new Float64Array(spread.s.length);
    this.count = spread.s.length + BELIEFS;
    this.moved = new Float64Array(this.count);
  }

  at(p: Float64Array, r: Float64Array): void {
    const { luma } = this.spread;
    const m = luma.length;
    const prior = SHARPENING_PRIOR;
    this.model.look(p, this.luma);
    for (let i = 0; i < m; i++) r[i] = (this.luma[i]! - luma[i]!) / SIGMA;
    r[m] = p[3]! / prior.amount;
    r[m + 1] = (p[4]! - Math.log(prior.radius)) / prior.logRadius;
    r[m + 2] = p[5]! / 0.5;
    r[m + 3] = p[6]!;
    r[m + 4] = (p[1]! - Math.log(0.3)) / 0.8;
  }

  /** Residuals as {@link minimise} asks for them. */
  fill(x: Float64Array, r: Float64Array, j: Float64Array | null): boolean {
    this.at(x, r);
    if (j) this.slopes(x, r, j);
    for (const v of r) if (!Number.isFinite(v)) return false;
    return true;
  }

  private slopes(x: Float64Array, r: Float64Array, j: Float64Array): void {
    const { moved, count } = this;
    const q = x.slice();
    for (const k of BY_DEPTH) {
      q[k]! += STEP;
      this.at(q, moved);
      for (let i = 0; i < count; i++) j[i * SPREAD_SIZE + k] = (moved[i]! - r[i]!) / STEP;
      q[k] = x[k]!;
    }
  }
}

/** Parameters of the model, those that change its last steps alone before the others. */
const BY_DEPTH = [3, 4, 2, 0, 1, 5, 6] as const;

/**
 * Sharpening and blur that best explain an edge spread.
 *
 * The print's own edge is a ramp in display values (print and optical dot gain spread the dark side), anywhere near its place; the
 * light is blurred by a Gaussian, shown through the tone curve and sharpened. Only over- and undershoot tell the sharpening.
 */
export function cardResponse(spread: EdgeSpread, tone: ToneCurve): CardResponse | null {
  const residuals = new SpreadResiduals(spread, tone);
  // Further off than half its width a blurred edge is not found from a sharp one's.
  const wide = 0.8 * spreadBlur(spread);
  const start = Float64Array.of(
    0.1,
    Math.log(0.4),
    Math.log(wide > 0.9 ? wide : 0.5),
    0.3,
    Math.log(SHARPENING_PRIOR.radius),
    0,
    0,
  );
  const limits = { steps: 25, gradient: 1e-4, step: 1e-4 };
  const fit = minimise((x, r, j) => residuals.fill(x, r, j), start, residuals.count, limits);
  if (!fit.ok) return null;
  const { x, cost } = fit.value;
  const misfit = SIGMA * Math.sqrt((2 * cost) / spread.s.length);
  return { amount: x[3]!, radius: Math.exp(x[4]!), blur: Math.exp(x[2]!), misfit };
}

/** How wide a spread is, sharpening and print's softness included: sigma of the Gaussian step that is as steep at its steepest, px. */
export function spreadBlur({ luma, black, white }: EdgeSpread): number {
  // Over 1 px, which averages out the grain of single places.
  const over = Math.round(1 / SPREAD.step);
  let steepest = 0;
  for (let i = over; i < luma.length; i++) steepest = Math.max(steepest, luma[i]! - luma[i - over]!);
  const width = (white - black) / Math.max(1e-3, steepest);
  return Math.sqrt(Math.max(0, width ** 2 / (2 * Math.PI) - 1 / 12));
}
