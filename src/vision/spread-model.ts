import type { ToneCurve } from './tone.ts';

/**
 * The photo's answer to a printed black-white edge, averaged over many edges that stand slanted to the pixels.
 *
 * Source of the method: ISO 12233, slanted-edge spatial frequency response.
 */
export interface EdgeSpread {
  /** Distance from the edge, px, positive on white, in even steps. */
  readonly s: Float64Array;
  /** Mean luma there. */
  readonly luma: Float64Array;
  readonly black: number;
  readonly white: number;
  /** Pixels averaged. */
  readonly pixels: number;
}

/** Grid of the model, px. */
const H = 0.2;
const HALF = 8;
const CELLS = Math.round((2 * HALF) / H) + 1;
/** Blurs further than so many sigmas count for nothing. */
const REACH = 3.5;

/** Between these the logarithms of the widths may lie. */
const LOG_RAMP = { most: 1 } as const;
const LOG_BLUR = { least: -2, most: 1.2 } as const;
const LOG_RADIUS = { least: -1, most: 1.5 } as const;

/** How many parameters the model has: shift, log half width of the ramp, log blur, amount, log radius, black and white corrections. */
export const SPREAD_SIZE = 7;
const [SHIFT, RAMP, BLUR, AMOUNT, RADIUS, BLACK, WHITE] = [0, 1, 2, 3, 4, 5, 6] as const;

/** Values on the grid, alike before `from` and from `to` on. */
interface Step {
  readonly values: Float64Array;
  from: number;
  to: number;
}
const newStep = (): Step => ({ values: new Float64Array(CELLS), from: 0, to: CELLS });

/** A Gaussian's weights from its middle on, and the sum of both sides. */
interface Kernel {
  readonly weights: Float64Array;
  reach: number;
  total: number;
}
const WIDEST = reachOf(Math.exp(Math.max(LOG_BLUR.most, LOG_RADIUS.most)));
const newKernel = (): Kernel => ({ weights: new Float64Array(WIDEST + 1), reach: 0, total: 1 });

/**
 * Luma of a printed edge at a spread's places: a ramp of light that is blurred, shown by the tone curve, and sharpened.
 *
 * Each of its steps is kept until what it hangs on changes: of a derivative's eight looks some change the last ones alone.
 */
export class SpreadModel {
  private readonly spread: EdgeSpread;
  private readonly tone: ToneCurve;
  /** Cell of each of the spread's places. */
  private readonly cells: Int32Array;
  private readonly light = newStep();
  private readonly shown = newStep();
  /** At the spread's places alone. */
  private readonly soft: Float64Array;
  private readonly kernel = newKernel();
  /** What the light, what is shown, and what is soft were made of: four numbers, one more, one more. */
  private readonly made = new Float64Array(6).fill(NaN);

  constructor(spread: EdgeSpread, tone: ToneCurve) {
    this.spread = spread;
    this.tone = tone;
    this.cells = Int32Array.from(spread.s, (s) => Math.round((s + HALF) / H));
    this.soft = new Float64Array(spread.s.length);
  }

  /** Fills `out`, one luma per place of the spread. */
  look(p: Float64Array, out: Float64Array): void {
    const { cells, shown, soft } = this;
    this.update(p);
    const amount = p[AMOUNT]!;
    for (let k = 0; k < cells.length; k++) {
      const v = shown.values[cells[k]!]!;
      out[k] = Math.min(255, Math.max(0, v + amount * (v - soft[k]!)));
    }
  }

  private update(p: Float64Array): void {
    const { spread, made } = this;
    const ramp = Math.exp(Math.min(LOG_RAMP.most, p[RAMP]!));
    const blur = Math.exp(Math.min(LOG_BLUR.most, Math.max(LOG_BLUR.least, p[BLUR]!)));
    const radius = Math.exp(Math.min(LOG_RADIUS.most, Math.max(LOG_RADIUS.least, p[RADIUS]!)));
    const black = spread.black + p[BLACK]!;
    const white = spread.white + p[WHITE]!;
    const lights = made[0] === p[SHIFT]! && made[1] === ramp && made[2] === black && made[3] === white;
    const shows = lights && made[4] === blur;
    if (!lights) this.setLight(p[SHIFT]!, ramp, black, white);
    if (!shows) this.setShown(blur);
    if (!shows || made[5] !== radius) this.setSoft(radius);
    made[0] = p[SHIFT]!;
    made[1] = ramp;
    made[2] = black;
    made[3] = white;
    made[4] = blur;
    made[5] = radius;
  }

  private setLight(shift: number, ramp: number, black: number, white: number): void {
    const { tone, light } = this;
    const dark = tone.toLight(black);
    const bright = tone.toLight(black + (white - black) * 1);
    light.from = CELLS;
    light.to = 0;
    for (let i = 0; i < CELLS; i++) {
      const share = ((-HALF + i * H - shift) / ramp + 1) / 2;
      light.values[i] = share <= 0 ? dark : share >= 1 ? bright : tone.toLight(black + (white - black) * share);
      if (!(share <= 0)) light.from = Math.min(light.from, i);
      if (!(share >= 1)) light.to = i + 1;
    }
  }

  private setShown(blur: number): void {
    const { tone, light, shown, kernel } = this;
    setKernel(kernel, blur);
    shown.from = Math.max(0, light.from - kernel.reach);
    shown.to = Math.min(CELLS, light.to + kernel.reach);
    const dark = tone.toDisplay(blurredAt(light.values, kernel, 0));
    const bright = tone.toDisplay(blurredAt(light.values, kernel, CELLS - 1));
    for (let i = 0; i < CELLS; i++)
      shown.values[i] =
        i < shown.from ? dark : i >= shown.to ? bright : tone.toDisplay(blurredAt(light.values, kernel, i));
  }

  private setSoft(radius: number): void {
    const { shown, soft, cells, kernel } = this;
    setKernel(kernel, radius);
    const dark = blurredAt(shown.values, kernel, 0);
    const bright = blurredAt(shown.values, kernel, CELLS - 1);
    for (let k = 0; k < cells.length; k++) {
      const i = cells[k]!;
      const [before, behind] = [i + kernel.reach < shown.from, i - kernel.reach >= shown.to];
      soft[k] = before ? dark : behind ? bright : blurredAt(shown.values, kernel, i);
    }
  }
}

/** Cells on each side that a blur of so many px counts. */
function reachOf(sigma: number): number {
  return Math.ceil((REACH * sigma) / H);
}

function setKernel(kernel: Kernel, sigma: number): void {
  const { weights } = kernel;
  kernel.reach = reachOf(sigma);
  let total = 0;
  for (let j = 0; j <= kernel.reach; j++) {
    weights[j] = Math.exp(-((j * H) ** 2) / (2 * sigma * sigma));
    total += j === 0 ? weights[0]! : 2 * weights[j]!;
  }
  kernel.total = total;
}

/** One blurred value; beyond its ends the grid goes on as it ends. */
function blurredAt(f: Float64Array, { weights, reach, total }: Kernel, i: number): number {
  const last = f.length - 1;
  let s = weights[0]! * f[i]!;
  for (let j = 1; j <= reach; j++) s += weights[j]! * (f[Math.max(0, i - j)]! + f[Math.min(last, i + j)]!);
  return s / total;
}
