import type { TextMark } from '../../figures/drawing.ts';
import { path } from '../../figures/svg.ts';
import type { Letters } from './letters.ts';

/** A line of text as the outlines of its letters: it looks the same on every machine. */
export function outlined(m: TextMark, letters: Letters): string {
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
