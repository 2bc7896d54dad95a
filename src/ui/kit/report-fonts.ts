import boldAddress from 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed-Bold.ttf?url';
import regularAddress from 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed.ttf?url';
import type { FontFiles } from '../../report/forms/letters.ts';

/** The fonts that reports embed, fetched when a report is made. Rejects where they do not arrive. */
export async function reportFonts(): Promise<FontFiles> {
  const [regular, bold] = await Promise.all([regularAddress, boldAddress].map(fetched));
  return { regular: regular!, bold: bold! };
}

async function fetched(address: string): Promise<Uint8Array> {
  const answer = await fetch(address);
  if (!answer.ok) throw new Error(`${answer.status} ${answer.statusText}`);
  return new Uint8Array(await answer.arrayBuffer());
}
