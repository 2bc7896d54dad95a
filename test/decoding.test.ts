import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { decodePicture } from '../src/cli/decode.ts';
import digests from './fixtures/decoding/digests.json' with { type: 'json' };

// The page's decoder is held to the same digests in decoding.browser.test.ts: both give the same pixels, bit for bit.
test.each(Object.entries(digests))('%s decodes to the pixels on record', async (path, expected) => {
  const { width, height, data } = await decodePicture(readFileSync(join(import.meta.dirname, '..', path)));
  expect(`${width} x ${height} ${createHash('sha256').update(data).digest('hex')}`).toBe(expected);
});
