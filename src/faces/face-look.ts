import type { FacePicture } from './face-picture.ts';

/** Sides of what is compared of a face, cells. */
export const LOOK_SIDE = 32;
/** Cells that two faces must both show to be compared. */
const CELLS_NEEDED = 50;

/** What is darker and lighter on a face, whatever it is: light per channel, its mean and its slope over the face taken off. */
export interface FaceLook {
  readonly face: number;
  readonly slant: number;
  /** One per turn k: the picture turned k times 360/n degrees counter-clockwise. 3 values per cell, 0 where nothing is seen. */
  readonly turned: readonly Cells[];
}

interface Cells {
  readonly value: Float32Array;
  readonly seen: Uint8Array;
}

/** @param turns  Turns of the face onto itself, `FACE_TURNS` of its kind. */
export function faceLook(picture: FacePicture, turns: number): FaceLook {
  const turned = Array.from({ length: turns }, (_, k) =>
    levelled(drawnIn(reduced(picture, (2 * Math.PI * k) / turns))),
  );
  return { face: picture.face, slant: picture.slant, turned };
}

/** Samples along each side of a cell, and how many of all must be seen. */
const SAMPLES = 3;
const SEEN = 7;

/** The picture turned counter-clockwise by an angle, mean light of each cell. */
function reduced({ size, light, mask }: FacePicture, angle: number): Cells {
  const value = new Float32Array(3 * LOOK_SIDE * LOOK_SIDE);
  const seen = new Uint8Array(LOOK_SIDE * LOOK_SIDE);
  const half = (size - 1) / 2;
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const step = size / LOOK_SIDE;
  for (let y = 0, k = 0; y < LOOK_SIDE; y++)
    for (let x = 0; x < LOOK_SIDE; x++, k++) {
      let count = 0;
      for (let q = 0; q < SAMPLES * SAMPLES; q++) {
        const right = (x + ((q % SAMPLES) + 0.5) / SAMPLES) * step - 0.5 - half;
        const down = (y + (Math.floor(q / SAMPLES) + 0.5) / SAMPLES) * step - 0.5 - half;
        const px = Math.round(c * right - s * down + half);
        const py = Math.round(s * right + c * down + half);
        if (px < 0 || py < 0 || px >= size || py >= size || mask[py * size + px] === 0) continue;
        count++;
        for (let e = 0; e < 3; e++) value[3 * k + e]! += light[3 * (py * size + px) + e]!;
      }
      seen[k] = count >= SEEN ? 1 : 0;
      for (let e = 0; e < 3; e++) value[3 * k + e] = seen[k] ? value[3 * k + e]! / count : 0;
    }
  return { value, seen };
}

/** Rim of the seen cells that is left out, cells: a coarse pose lets the neighbours' light in. */
const RIM = 2;

function drawnIn({ value, seen }: Cells): Cells {
  let now = seen;
  for (let r = 0; r < RIM; r++) {
    const before = now;
    now = before.map((v, k) => {
      const [x, y] = [k % LOOK_SIDE, Math.floor(k / LOOK_SIDE)];
      const rim = x === 0 || y === 0 || x === LOOK_SIDE - 1 || y === LOOK_SIDE - 1;
      return v && !rim && before[k - 1] && before[k + 1] && before[k - LOOK_SIDE] && before[k + LOOK_SIDE] ? 1 : 0;
    });
  }
  return { value: value.map((v, k) => (now[Math.floor(k / 3)] ? v : 0)), seen: now };
}

/** Takes mean and slope over the seen cells off each channel: what light and sheen do to a flat face. */
function levelled({ value, seen }: Cells): Cells {
  let [n, mx, my] = [0, 0, 0];
  for (let k = 0; k < seen.length; k++) {
    if (!seen[k]) continue;
    n++;
    mx += k % LOOK_SIDE;
    my += Math.floor(k / LOOK_SIDE);
  }
  [mx, my] = [mx / Math.max(1, n), my / Math.max(1, n)];
  let [xx, xy, yy] = [0, 0, 0];
  const sums = new Float64Array(9);
  for (let k = 0; k < seen.length; k++) {
    if (!seen[k]) continue;
    const [x, y] = [(k % LOOK_SIDE) - mx, Math.floor(k / LOOK_SIDE) - my];
    xx += x * x;
    xy += x * y;
    yy += y * y;
    for (let e = 0; e < 3; e++) {
      sums[3 * e]! += value[3 * k + e]!;
      sums[3 * e + 1]! += x * value[3 * k + e]!;
      sums[3 * e + 2]! += y * value[3 * k + e]!;
    }
  }
  const area = xx * yy - xy * xy;
  if (!(area > 0)) return { value, seen };
  for (let e = 0; e < 3; e++) {
    const mean = sums[3 * e]! / n;
    const across = (sums[3 * e + 1]! * yy - sums[3 * e + 2]! * xy) / area;
    const along = (sums[3 * e + 2]! * xx - sums[3 * e + 1]! * xy) / area;
    for (let k = 0; k < seen.length; k++)
      if (seen[k])
        value[3 * k + e]! -= mean + across * ((k % LOOK_SIDE) - mx) + along * (Math.floor(k / LOOK_SIDE) - my);
  }
  return { value, seen };
}

/** Correlation of two faces' looks, -1 to 1, the first turned `turn` times; NaN where they share too little. */
export function likeness(a: FaceLook, turn: number, b: FaceLook): number {
  const { value: p, seen: s } = a.turned[turn]!;
  const { value: q, seen: t } = b.turned[0]!;
  let [pq, pp, qq, n] = [0, 0, 0, 0];
  for (let k = 0; k < s.length; k++) {
    if (!s[k] || !t[k]) continue;
    n++;
    for (let e = 3 * k; e < 3 * k + 3; e++) {
      const [v, w] = [p[e]!, q[e]!];
      pq += v * w;
      pp += v * v;
      qq += w * w;
    }
  }
  return n < CELLS_NEEDED || !(pp > 0 && qq > 0) ? NaN : pq / Math.sqrt(pp * qq);
}
