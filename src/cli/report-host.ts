import { webcrypto } from 'node:crypto';
import { join } from 'node:path';
import { fileName } from '../report/record/plain-text.ts';
import type { Subtle } from '../report/record/signing.ts';
import { fileBytes } from './files.ts';
import { say } from './streams.ts';

/** The host's cryptography, by which reports are signed. */
export const subtle = webcrypto.subtle as Subtle;

/** Those photos that are there, under their bare names. */
export async function photosIn(
  folder: string,
  names: readonly string[],
): Promise<{ photo: string; data: Uint8Array }[]> {
  const out: { photo: string; data: Uint8Array }[] = [];
  for (const photo of names.map(fileName)) {
    const data = await fileBytes(join(folder, photo));
    if (data.ok) out.push({ photo, data: data.value });
    else say(`evencast report: ${data.error}\n`);
  }
  return out;
}
