/**
 * Opening and growing by a round element, exactly as an image library does it, in time that grows with its width and not with its area:
 * each of its rows is a run, and whether a run fits is known once each cell's distance to the nearest other cell of its row is.
 */

/** Half lengths of the rows of a round element of an odd width, from its middle row outwards. */
export function roundRows(width: number): Int32Array {
  const r = (width - 1) / 2;
  return Int32Array.from({ length: r + 1 }, (_, j) =>
    r === 0 ? 0 : Math.round(r * Math.sqrt((r * r - j * j) / (r * r))),
  );
}

/** Distance of each cell to the nearest cell of its row that is set (or is not), cells; `w` where there is none. */
function rowDistances(mask: Uint8Array, set: boolean, w: number, h: number): Int32Array {
  const out = new Int32Array(w * h);
  for (let y = 0; y < h; y++) {
    const [from, end] = [y * w, (y + 1) * w];
    let d = w;
    for (let k = from; k < end; k++) {
      d = mask[k]! > 0 === set ? 0 : Math.min(w, d + 1);
      out[k] = d;
    }
    d = w;
    for (let k = end - 1; k >= from; k--) {
      d = mask[k]! > 0 === set ? 0 : Math.min(w, d + 1);
      if (d < out[k]!) out[k] = d;
    }
  }
  return out;
}

/** 1 at cells of a mask all round which a round element lies in it. */
function eroded(mask: Uint8Array, w: number, h: number, rows: Int32Array): Uint8Array {
  const far = rowDistances(mask, false, w, h);
  const out = new Uint8Array(w * h);
  const last = rows.length - 1;
  for (let y = last; y < h - last; y++)
    for (let k = y * w; k < (y + 1) * w; k++) {
      // Most cells fail at the middle row, or at the first or last.
      if (far[k]! <= rows[0]!) continue;
      let j = last;
      while (j > 0 && far[k - j * w]! > rows[j]! && far[k + j * w]! > rows[j]!) j--;
      if (j === 0) out[k] = 1;
    }
  return out;
}

/** 1 at those cells of `within` that a round element about a cell of the mask reaches. */
function grown(mask: Uint8Array, within: Uint8Array, w: number, h: number, rows: Int32Array): Uint8Array {
  const far = rowDistances(mask, true, w, h);
  const out = new Uint8Array(w * h);
  const last = rows.length - 1;
  for (let y = 0; y < h; y++) {
    const [up, down] = [Math.min(last, y), Math.min(last, h - 1 - y)];
    for (let k = y * w; k < (y + 1) * w; k++) {
      if (!within[k]) continue;
      for (let j = 0; j <= last; j++)
        if ((j <= up && far[k - j * w]! <= rows[j]!) || (j <= down && far[k + j * w]! <= rows[j]!)) {
          out[k] = 1;
          break;
        }
    }
  }
  return out;
}

/**
 * Those cells of a mask that are wide: where a round element of odd width `width` fits, and so far round as one of width `around` reaches.
 *
 * @param mask  Non-zero at what is looked at, `w` x `h`, nothing at the border.
 * @returns     1 there, 0 elsewhere.
 */
export function wideCells(mask: Uint8Array, w: number, h: number, width: number, around: number): Uint8Array {
  const element = roundRows(width);
  const open = grown(eroded(mask, w, h, element), mask, w, h, element);
  return grown(open, mask, w, h, roundRows(around));
}
