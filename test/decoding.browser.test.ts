import { expect, test } from 'vitest';
import { decode } from '../workers/decode.ts';
import digests from './fixtures/decoding/digests.json' with { type: 'json' };

const FILES = import.meta.glob<string>(['../samples/*/*.jpg', './fixtures/decoding/*.{jpg,png}'], {
  query: '?url',
  import: 'default',
  eager: true,
});

const addressOf = (path: string): string => FILES[path.startsWith('test/') ? `./${path.slice(5)}` : `../${path}`]!;

const hex = (bytes: ArrayBuffer): string =>
  [...new Uint8Array(bytes)].map((byte) => byte.toString(16).padStart(2, '0')).join('');

// The command line's decoder is held to the same digests in decoding.test.ts.
test.each(Object.entries(digests))('%s decodes to the pixels that the command line sees', async (path, expected) => {
  const bytes = new Uint8Array(await (await fetch(addressOf(path))).arrayBuffer());
  const { picture } = await decode(bytes);
  const { width, height, data } = picture;
  const colours = new Uint8Array(width * height * 3);
  for (let from = 0, to = 0; to < colours.length; from += 4)
    for (let channel = 0; channel < 3; channel++) colours[to++] = data[from + channel]!;
  expect(`${width} x ${height} ${hex(await crypto.subtle.digest('SHA-256', colours))}`).toBe(expected);
});
