/** Loss as from packing a picture in 8 x 8 blocks: each block's cosine parts rounded, the finer the coarser. */

const COS = Float64Array.from({ length: 64 }, (_, k) => {
  const f = k >> 3;
  return Math.sqrt(f === 0 ? 1 / 8 : 1 / 4) * Math.cos(((2 * (k & 7) + 1) * f * Math.PI) / 16);
});
const block = new Float64Array(64);
const half = new Float64Array(64);
const before = new Float64Array(64);

/**
 * Rounds a picture's brightness (square root of linear light) in place; colours keep their ratios.
 *
 * @param step Rounding of the coarsest part; the finest is rounded six times as coarsely (as the tables in ISO/IEC 10918-1, annex K, do about).
 */
export function lossy(rgb: Float32Array, size: number, step: number): void {
  for (let y = 0; y + 8 <= size; y += 8)
    for (let x = 0; x + 8 <= size; x += 8) {
      const at = (k: number): number => 3 * ((y + (k >> 3)) * size + x + (k & 7));
      if (rgb[at(27)] === 0 && rgb[at(0)] === 0 && rgb[at(63)] === 0) continue;
      for (let k = 0; k < 64; k++) {
        const p = at(k);
        before[k] = block[k] = Math.sqrt(Math.max(1e-6, 0.3 * rgb[p]! + 0.6 * rgb[p + 1]! + 0.1 * rgb[p + 2]!));
      }
      turned(false);
      for (let k = 0; k < 64; k++) {
        const coarse = step * (1 + (5 * ((k >> 3) + (k & 7))) / 14);
        block[k] = Math.round(block[k]! / coarse) * coarse;
      }
      turned(true);
      for (let k = 0; k < 64; k++) {
        const p = at(k);
        const gain = Math.min(4, Math.max(0, block[k]! / before[k]!)) ** 2;
        for (let c = 0; c < 3; c++) rgb[p + c]! *= gain;
      }
    }
}

/** The block into its cosine parts, or back. */
function turned(back: boolean): void {
  for (const [from, to] of [
    [block, half],
    [half, block],
  ] as const)
    for (let f = 0; f < 8; f++)
      for (let r = 0; r < 8; r++) {
        let s = 0;
        for (let k = 0; k < 8; k++) s += (back ? COS[k * 8 + f]! : COS[f * 8 + k]!) * from[r * 8 + k]!;
        to[f * 8 + r] = s;
      }
}
