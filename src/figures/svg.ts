import type { Drawing, TextMark } from './drawing.ts';
import type { Letters } from '../report/forms/letters.ts';

const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' }; // prettier-ignore

/** Text as markup shows it: as text. */
export const escaped = (t: string): string => t.replace(/[&<>"']/g, (c) => ENTITIES[c]!);

const path = (d: string, fill: string | null, stroke: string | null, width: number, dash: readonly number[]): string =>
  `<path d="${d}" fill="${fill ?? 'none'}"${stroke === null ? '' : ` stroke="${stroke}" stroke-width="${width}"`}${dash.length > 0 ? ` stroke-dasharray="${dash.join(' ')}"` : ''}/>`;

/**
 * A drawing as SVG, one element, no script, no outside reference.
 *
 * @param title    For whoever does not see it.
 * @param letters  Where given, text is drawn as outlines of letters and looks the same on every machine.
 */
export function svg({ width, height, marks }: Drawing, title: string, letters: Letters | null = null): string {
  const body = marks.map((m) => {
    if (m.kind === 'path') return path(m.d, m.fill, m.stroke, m.width, m.dash);
    if (letters) return outlined(m, letters);
    const anchor = m.anchor === 'start' ? '' : ` text-anchor="${m.anchor}"`;
    return `<text x="${m.x.toFixed(2)}" y="${m.y.toFixed(2)}" font-size="${m.size}"${anchor}${m.bold ? ' font-weight="bold"' : ''} fill="${m.colour}">${escaped(m.text)}</text>`;
  });
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${width.toFixed(2)}" height="${height.toFixed(2)}" viewBox="0 0 ${width.toFixed(2)} ${height.toFixed(2)}" role="img" aria-label="${escaped(title)}" font-family="system-ui, 'DejaVu Sans Condensed', 'DejaVu Sans', Arial, sans-serif">${body.join('')}</svg>`;
}

/** A line of text as the outlines of its letters. */
function outlined(m: TextMark, letters: Letters): string {
  const words = letters.lines(m.text, m.bold, Infinity)[0]!;
  const space = letters.width(' ', m.bold) * m.size;
  const width = m.size * words.reduce((s, w) => s + w.width, 0) + Math.max(0, words.length - 1) * space;
  let x = m.x - (m.anchor === 'start' ? 0 : m.anchor === 'middle' ? width / 2 : width);
  const font = m.bold ? letters.fonts.bold : letters.fonts.regular;
  const k = m.size / font.unitsPerEm;
  const parts: string[] = [];
  for (const word of words) {
    for (const { shown } of word.stretches) {
      const run = font.layout(shown);
      run.glyphs.forEach((glyph, i) => {
        const p = run.positions[i]!;
        const d = glyph.path
          .scale(k, -k)
          .translate(x + k * p.xOffset, m.y - k * p.yOffset)
          .toSVG();
        if (d !== '') parts.push(d);
        x += k * p.xAdvance;
      });
    }
    x += space;
  }
  return path(parts.join(''), m.colour, null, 0, []);
}
