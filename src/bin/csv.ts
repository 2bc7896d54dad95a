import { boxAround } from '../geometry/polygon.ts';
import { plain } from '../formats/read.ts';
import type { BinDie, BinPhoto } from './types.ts';

/** What a person made of a die, where that differs from the program's verdict. */
export type Overruled = (photo: string, index: number) => BinDie['verdict'] | null;

/** The words of a verdict, and of a photo that was left out. */
export interface Said {
  readonly die: (die: BinDie) => string;
  readonly photo: (photo: BinPhoto) => string;
}
const SAID: Said = { die: (d) => d.reason, photo: (p) => p.remark ?? '' };

const HEAD =
  'photo,die,x_mm,y_mm,size_mm,size_u_mm,radius_mm,radius_u_mm,departure_mm,departure_u_mm,verdict,by,sure,reason,crop_left_px,crop_top_px,crop_width_px,crop_height_px';

/** Pixels kept round a die's outline in its crop. */
const MARGIN = 12;

/** Window of the upright photo that shows a die, px. */
export function cropOf(
  { outline }: BinDie,
  width: number,
  height: number,
): { left: number; top: number; width: number; height: number } {
  const box = boxAround(outline);
  const left = Math.max(0, Math.floor(box.left - MARGIN));
  const top = Math.max(0, Math.floor(box.top - MARGIN));
  const right = Math.min(width, Math.ceil(box.right + MARGIN));
  const bottom = Math.min(height, Math.ceil(box.bottom + MARGIN));
  return { left, top, width: Math.max(0, right - left), height: Math.max(0, bottom - top) };
}

/** The first line of a list. */
export const CSV_HEAD = `${HEAD}\r\n`;

/** One line per die: place, numbers with u, verdict, who gave it, reason, and the window of the photo that shows it (RFC 4180). */
export const binCsv = (photos: readonly BinPhoto[], overruled: Overruled = () => null, said: Said = SAID): string =>
  CSV_HEAD + photos.map((p) => csvLines(p, overruled, said)).join('');

/** The lines of one photo. */
export function csvLines(p: BinPhoto, overruled: Overruled = () => null, said: Said = SAID): string {
  const lines: string[] = [];
  if (p.status === 'left-out')
    lines.push(
      [p.photo, '', '', '', '', '', '', '', '', '', 'left-out', '', '', said.photo(p), '', '', '', '']
        .map(cell)
        .join(','),
    );
  p.dice.forEach((d, i) => {
    const by = overruled(p.photo, i);
    const crop = cropOf(d, p.width, p.height);
    const q = (v: BinDie['size']): (number | string)[] => (v ? [v.value, v.u] : ['', '']);
    lines.push(
      [
        p.photo,
        i + 1,
        d.x,
        d.y,
        ...q(d.size),
        ...q(d.radius),
        ...q(d.departure),
        by ?? d.verdict,
        by ? 'person' : 'program',
        d.sure ?? '',
        said.die(d),
        crop.left,
        crop.top,
        crop.width,
        crop.height,
      ]
        .map(cell)
        .join(','),
    );
  });
  return lines.map((line) => `${line}\r\n`).join('');
}

/** A cell that no spreadsheet takes for a formula, and no terminal for a command. */
function cell(v: string | number): string {
  if (typeof v === 'number') return String(v);
  const shown = plain(v, v.length);
  const safe = /^\s*[=+\-@]/.test(shown) ? `'${shown}` : shown;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
