import { expect, test } from 'vitest';
import { cardPdf } from '../src/report/forms/card-pdf.ts';
import { CARD_DIGEST } from './support/card-digest.ts';

test('the page makes the same card, byte by byte, as the command line', async () => {
  const digest = await crypto.subtle.digest('SHA-256', (await cardPdf('a4', 'grey')) as Uint8Array<ArrayBuffer>);
  expect([...new Uint8Array(digest)].map((v) => v.toString(16).padStart(2, '0')).join('')).toBe(CARD_DIGEST);
});
