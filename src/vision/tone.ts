/** A camera's tone curve: scene light in [0, 1] to display value in [0, 255] and back. */
export interface ToneCurve {
  readonly toDisplay: (light: number) => number;
  readonly toLight: (display: number) => number;
  /** Display values at light (i / cells)^2: dense where the curve is steep. */
  readonly table: Float64Array;
}

const CELLS = 4096;

/** A curve from a rising function on [0, 1]; tabulated, linear between, extended with its end slopes. */
export function toneCurve(display: (light: number) => number): ToneCurve {
  // Even steps in the square root of light: the curve is steep at the dark end.
  const up = Float64Array.from({ length: CELLS + 1 }, (_, i) => 255 * display((i / CELLS) ** 2));
  const down = new Float64Array(1024 + 1);
  for (let k = 0, i = 0; k <= 1024; k++) {
    const v = (255 * k) / 1024;
    while (i < CELLS - 1 && up[i + 1]! < v) i++;
    const t = Math.min(1, Math.max(0, (v - up[i]!) / (up[i + 1]! - up[i]! || 1)));
    down[k] = ((i + t) / CELLS) ** 2;
  }
  return {
    table: up,
    toDisplay: (light) => {
      const q = Math.sqrt(Math.max(0, light)) * CELLS;
      const i = Math.min(CELLS - 1, Math.floor(q));
      return up[i]! + (q - i) * (up[i + 1]! - up[i]!);
    },
    toLight: (value) => {
      const q = Math.min(1024, Math.max(0, (value * 1024) / 255));
      const i = Math.min(1023, Math.floor(q));
      return down[i]! + (q - i) * (down[i + 1]! - down[i]!);
    },
  };
}

/** The curve of the sRGB colour space. Source: IEC 61966-2-1:1999, clause 5.2. */
export const SRGB: ToneCurve = toneCurve((l) =>
  l <= 0.0031308 ? 12.92 * l : 1.055 * Math.min(l, 1) ** (1 / 2.4) - 0.055,
);

/** A plain power law, display = light^(1 / gamma). */
export const powerCurve = (gamma: number): ToneCurve => toneCurve((l) => Math.min(l, 1) ** (1 / gamma));
