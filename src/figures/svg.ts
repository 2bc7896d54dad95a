import type { Drawing, PictureMark, TextMark } from './drawing.ts';

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

/** Text as markup shows it: as text. */
export const escaped = (t: string): string => t.replace(/[&<>"']/g, (c) => ENTITIES[c]!);

/** A path as an element. */
export const path = (
  d: string,
  fill: string | null,
  stroke: string | null,
  width: number,
  dash: readonly number[],
): string =>
  `<path d="${d}" fill="${fill ?? 'none'}"${stroke === null ? '' : ` stroke="${stroke}" stroke-width="${width}"`}${dash.length > 0 ? ` stroke-dasharray="${dash.join(' ')}"` : ''}/>`;

const pictureElement = ({ jpeg, x, y, width, height }: PictureMark): string =>
  `<image x="${x.toFixed(2)}" y="${y.toFixed(2)}" width="${width.toFixed(2)}" height="${height.toFixed(2)}" href="data:image/jpeg;base64,${escaped(jpeg)}"/>`;

function textElement(m: TextMark): string {
  const anchor = m.anchor === 'start' ? '' : ` text-anchor="${m.anchor}"`;
  return `<text x="${m.x.toFixed(2)}" y="${m.y.toFixed(2)}" font-size="${m.size}"${anchor}${m.bold ? ' font-weight="bold"' : ''} fill="${m.colour}">${escaped(m.text)}</text>`;
}

/**
 * A drawing as SVG, one element, no script, no outside reference.
 *
 * @param title  For whoever does not see it.
 * @param drawn  What becomes of a line of text; where nothing is said it stays text.
 */
export function svg(
  { width, height, marks }: Drawing,
  title: string,
  drawn: (m: TextMark) => string = textElement,
): string {
  const body = marks.map((m) => {
    if (m.kind === 'path') return path(m.d, m.fill, m.stroke, m.width, m.dash);
    if (m.kind === 'picture') return pictureElement(m);
    return drawn(m);
  });
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${width.toFixed(2)}" height="${height.toFixed(2)}" viewBox="0 0 ${width.toFixed(2)} ${height.toFixed(2)}" role="img" aria-label="${escaped(title)}" font-family="system-ui, 'DejaVu Sans Condensed', 'DejaVu Sans', Arial, sans-serif">${body.join('')}</svg>`;
}
