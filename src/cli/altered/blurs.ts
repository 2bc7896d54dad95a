import sharp from 'sharp';
import { sharpOf, pixelsOf, spreadLight, type Kernel, type Pixels } from './pixels.ts';

/** A hand that moves by `length` px along `angle` (rad) while the shutter is open. */
export function shaken(p: Pixels, length: number, angle: number): Pixels {
  const cells = new Map<string, [number, number, number]>();
  const steps = 64;
  for (let i = 0; i < steps; i++) {
    const t = ((i + 0.5) / steps - 0.5) * length;
    const [x, y] = [t * Math.cos(angle), t * Math.sin(angle)];
    const [a, b] = [Math.floor(x), Math.floor(y)];
    for (const [dx, dy] of [
      [0, 0],
      [1, 0],
      [0, 1],
      [1, 1],
    ] as const) {
      const w = ((1 - Math.abs(x - a - dx)) * (1 - Math.abs(y - b - dy))) / steps;
      const cell = cells.get(`${a + dx},${b + dy}`);
      if (cell) cell[2] += w;
      else cells.set(`${a + dx},${b + dy}`, [a + dx, b + dy, w]);
    }
  }
  return spreadLight(p, [...cells.values()]);
}

/** A lens out of focus: an even disc, radius in px. */
export function defocused(p: Pixels, radius: number): Pixels {
  const reach = Math.ceil(radius);
  const cells: [number, number, number][] = [];
  for (let y = -reach; y <= reach; y++)
    for (let x = -reach; x <= reach; x++) {
      const w = Math.min(1, Math.max(0, radius + 0.5 - Math.hypot(x, y)));
      if (w > 0) cells.push([x, y, w]);
    }
  const total = cells.reduce((s, c) => s + c[2], 0);
  return spreadLight(
    p,
    cells.map(([x, y, w]): Kernel[number] => [x, y, w / total]),
  );
}

/** The mean of neighbours that are alike: smooths grain, keeps edges. `level` in display values. Source: Tomasi and Manduchi 1998. */
export function bilateral({ width, height, data }: Pixels, reach: number, level: number, sigma: number): Pixels {
  const out = new Uint8Array(data);
  const near = Float32Array.from({ length: 768 }, (_, d) => Math.exp(-(d * d) / (2 * level * level)));
  const far = Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-((i - reach) ** 2) / (2 * sigma * sigma)));
  for (let y = reach; y < height - reach; y++)
    for (let x = reach; x < width - reach; x++) {
      const k = 3 * (y * width + x);
      let [total, r, g, b] = [0, 0, 0, 0];
      for (let dy = -reach; dy <= reach; dy++)
        for (let dx = -reach; dx <= reach; dx++) {
          const q = k + 3 * (dy * width + dx);
          const d =
            Math.abs(data[q]! - data[k]!) +
            Math.abs(data[q + 1]! - data[k + 1]!) +
            Math.abs(data[q + 2]! - data[k + 2]!);
          const w = near[d]! * far[dx + reach]! * far[dy + reach]!;
          total += w;
          r += w * data[q]!;
          g += w * data[q + 1]!;
          b += w * data[q + 2]!;
        }
      out[k] = Math.round(r / total);
      out[k + 1] = Math.round(g / total);
      out[k + 2] = Math.round(b / total);
    }
  return { width, height, data: out };
}

/** Blurs all outside an outline, whose border is `soft` px wide and lies `off` px outside it: a portrait mode. */
export async function portrait(
  p: Pixels,
  outline: Float64Array,
  { off = 0, soft = 3, blur = 4 } = {},
): Promise<Pixels> {
  const grown = new Array<string>();
  let [cx, cy] = [0, 0];
  const n = outline.length / 2;
  for (let i = 0; i < n; i++) [cx, cy] = [cx + outline[2 * i]! / n, cy + outline[2 * i + 1]! / n];
  for (let i = 0; i < n; i++) {
    const [x, y] = [outline[2 * i]! - cx, outline[2 * i + 1]! - cy];
    const k = 1 + off / Math.hypot(x, y);
    grown.push(`${cx + k * x + 0.5},${cy + k * y + 0.5}`);
  }
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${p.width}" height="${p.height}"><rect width="100%" height="100%" fill="#000"/><polygon points="${grown.join(' ')}" fill="#fff"/></svg>`;
  const mask = await pixelsOf(sharpOf(await pixelsOf(sharp(Buffer.from(svg)))).blur(soft));
  const soft2 = await pixelsOf(sharpOf(p).blur(blur));
  const data = p.data.map((v, i) => {
    const w = mask.data[i]! / 255;
    return Math.round(w * v + (1 - w) * soft2.data[i]!);
  });
  return { ...p, data };
}
