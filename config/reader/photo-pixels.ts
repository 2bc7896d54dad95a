/** What a camera does to light: noise and blur. Flat arrays hold red, green and blue of each pixel in turn, linear light from 0. */
import { seededNormal, seededRandom, type Random } from '../../src/maths/random.ts';

const NORMALS = (() => {
  const normal = seededNormal(seededRandom(1));
  return Float32Array.from({ length: 1 << 16 }, normal);
})();

/** Noise on the square root of light, in part common to the three channels; the deviates come from a table, from another place each time. */
export function addNoise(rgb: Float32Array, sigma: number, random: Random): void {
  let at = Math.floor(random() * NORMALS.length);
  const step = 2 * Math.floor(random() * 2000) + 1;
  const next = (): number => NORMALS[(at = (at + step) & 0xffff)]!;
  for (let k = 0; k < rgb.length; k += 3) {
    if (rgb[k] === 0 && rgb[k + 1] === 0) continue;
    const common = sigma * next();
    for (let c = 0; c < 3; c++) {
      const v = Math.max(0, Math.sqrt(rgb[k + c]!) + common + 0.6 * sigma * next());
      rgb[k + c] = v * v;
    }
  }
}

/** Gaussian blur in place, sigma in px, rows then columns. */
export function blurred(rgb: Float32Array, size: number, sigma: number): void {
  const half = Math.min(5, Math.ceil(2.5 * sigma));
  const kernel = Array.from({ length: 2 * half + 1 }, (_, k) => Math.exp(-0.5 * ((k - half) / sigma) ** 2));
  const sum = kernel.reduce((a, b) => a + b, 0);
  const line = new Float32Array(3 * size);
  for (const [along, across] of [
    [3, 3 * size],
    [3 * size, 3],
  ] as const)
    for (let r = 0; r < size; r++) {
      for (let i = 0; i < size; i++) for (let c = 0; c < 3; c++) line[3 * i + c] = rgb[r * across + i * along + c]!;
      for (let i = 0; i < size; i++) {
        if (line[3 * i] === 0) continue;
        const whole = i >= half && i + half < size;
        for (let c = 0; c < 3; c++) {
          let s = 0;
          if (whole) for (let k = 0, q = 3 * (i - half) + c; k <= 2 * half; k++, q += 3) s += kernel[k]! * line[q]!;
          rgb[r * across + i * along + c] = s / sum;
        }
      }
    }
}
