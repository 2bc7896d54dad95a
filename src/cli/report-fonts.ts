import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { FontFiles } from '../report/forms/letters.ts';

/** The fonts that reports embed, from their package. */
export async function reportFonts(): Promise<FontFiles> {
  const at = (name: string): string => createRequire(import.meta.url).resolve(`dejavu-fonts-ttf/ttf/${name}.ttf`);
  const [regular, bold] = await Promise.all([
    readFile(at('DejaVuSansCondensed')),
    readFile(at('DejaVuSansCondensed-Bold')),
  ]);
  return { regular: new Uint8Array(regular), bold: new Uint8Array(bold) };
}
