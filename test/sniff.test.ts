import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import exifr from 'exifr';
import fc from 'fast-check';
import sharp, { type Sharp } from 'sharp';
import { describe, expect, test } from 'vitest';
import { decodePicture } from '../src/cli/decode.ts';
import { focalPx } from '../src/photo/exif-focal.ts';
import { readExif } from '../src/photo/exif.ts';
import { openPhoto } from '../src/photo/open.ts';
import { PICTURE_LIMITS, pixelsTold, sniffImage } from '../src/photo/sniff.ts';

const sample = new Uint8Array(readFileSync(join(import.meta.dirname, '../samples/d6/01-1.jpg')));
const plain = (width: number, height: number): Sharp =>
  sharp({ create: { width, height, channels: 3, background: '#888' } });
const bytesOf = async (image: Sharp): Promise<Uint8Array> => new Uint8Array(await image.toBuffer());
const decodedAsPng = (jpeg: Uint8Array): Promise<Uint8Array> =>
  sharp(jpeg, { failOn: 'none' }).png({ compressionLevel: 0 }).toBuffer();
const text = (value: string): Uint8Array => Uint8Array.from(value, (c) => c.charCodeAt(0));
const code = (bytes: Uint8Array): string => {
  const sniffed = sniffImage(bytes);
  return sniffed.ok ? 'ok' : sniffed.error.code;
};

describe('photos that are as they should be', () => {
  test('a sample: size, orientation and focal length', () => {
    const sniffed = sniffImage(sample);
    expect(sniffed).toEqual({
      ok: true,
      value: { type: 'jpeg', width: 2016, height: 1512, orientation: 1, focal35: 35, coding: expect.anything() },
    });
    // 35 mm on a 36 x 24 mm frame: 2520 px of diagonal times 35 / 43.267.
    expect(sniffed.ok && focalPx(sniffed.value.focal35, 2016, 1512)).toBeCloseTo(2038.52, 2);
    expect(focalPx(null, 1, 1)).toBeNull();
  });

  test('its pixels are told by its first bytes, of a PNG as well; of no picture none are', async () => {
    expect([pixelsTold(sample), pixelsTold(sample.subarray(0, 4000))]).toEqual([2016 * 1512, 2016 * 1512]);
    expect([pixelsTold(sample.subarray(0, 100)), pixelsTold(text('no picture'))]).toEqual([0, 0]);
    expect(pixelsTold(await bytesOf(plain(640, 480).png()))).toBe(640 * 480);
  });

  test.each([1, 3, 6, 8])('orientation %i, as exifr reads it', async (orientation) => {
    const bytes = await bytesOf(plain(640, 480).withMetadata({ orientation }).jpeg());
    const independent = ((await exifr.parse(bytes, { translateValues: false })) as { Orientation: number }).Orientation;
    expect(independent).toBe(orientation);
    expect(sniffImage(bytes)).toMatchObject({ ok: true, value: { width: 640, height: 480, orientation } });
  });

  test.each(['II', 'MM'])('focal length in either byte order (%s), as exifr reads it', async (order) => {
    const bytes = withExif(await bytesOf(plain(640, 480).jpeg()), tiff(order === 'II', 28));
    expect(await exifr.parse(bytes)).toMatchObject({ FocalLengthIn35mmFormat: 28 });
    expect(sniffImage(bytes)).toMatchObject({ ok: true, value: { orientation: 6, focal35: 28 } });
  });

  test.each([
    ['progressive', plain(640, 480).jpeg({ progressive: true })],
    ['grey', plain(640, 480).grayscale().jpeg()],
    ['CMYK', plain(640, 480).toColourspace('cmyk').jpeg()],
    ['16-bit PNG', plain(640, 480).toColourspace('rgb16').png()],
    ['PNG', plain(640, 480).png()],
  ])('%s', async (_name, image) => {
    expect(sniffImage(await bytesOf(image))).toMatchObject({ ok: true, value: { width: 640, height: 480 } });
  });

  test('something hung on behind the end, as telephones do with moving pictures', () => {
    expect(code(new Uint8Array(Buffer.concat([sample, text('\0\0\0\x18ftypmp42')])))).toBe('ok');
  });
});

describe('other formats, by their first bytes', () => {
  test.each([
    ['webp', plain(641, 480).webp()],
    ['webp', plain(641, 480).webp({ lossless: true })],
    ['webp', plain(641, 480).withMetadata({ orientation: 6 }).webp()],
    ['tiff', plain(641, 480).tiff({ compression: 'lzw' })],
    ['avif', plain(641, 480).avif({ effort: 0 })],
  ])('%s: its size, and that it ends early', async (type, image) => {
    const bytes = await bytesOf(image);
    const { orientation = 1 } = await sharp(bytes).metadata();
    expect(sniffImage(bytes)).toMatchObject({
      ok: true,
      value: { type, width: 641, height: 480, coding: null, orientation },
    });
    if (type !== 'tiff') expect(code(bytes.subarray(0, bytes.length - 20))).toBe('truncated');
  });

  test('BMP', () => {
    const bytes = new Uint8Array(60);
    bytes.set(text('BM'));
    const view = new DataView(bytes.buffer);
    view.setUint32(2, 60, true);
    view.setInt32(18, 640, true);
    view.setInt32(22, -480, true);
    expect(sniffImage(bytes)).toMatchObject({ ok: true, value: { type: 'bmp', width: 640, height: 480 } });
  });

  test('what the decoder does not read is named, and how to get a JPEG', async () => {
    const fails = (): Promise<never> => Promise.reject(new Error('no decoder'));
    const webp = await bytesOf(plain(641, 480).webp());
    expect(await openPhoto('a.webp', webp, fails)).toEqual({
      ok: false,
      error: { code: 'format-unread', seen: 'WebP', needed: 'JPEG, PNG' },
    });
    const jpeg = await bytesOf(plain(641, 480).jpeg());
    expect(await openPhoto('a.jpg', jpeg, fails)).toMatchObject({ ok: false, error: { code: 'unreadable' } });
  });
});

describe('how a JPEG was rounded', () => {
  test.each([
    [95, '4:2:0', [2, 2]],
    [80, '4:2:0', [2, 2]],
    [60, '4:4:4', [1, 1]],
    [40, '4:2:0', [2, 2]],
  ] as const)('quality %i, %s, as the encoder was told', async (quality, chromaSubsampling, colour) => {
    const sniffed = sniffImage(await bytesOf(plain(640, 480).jpeg({ quality, chromaSubsampling })));
    const coding = sniffed.ok ? sniffed.value.coding : null;
    expect(coding?.colour).toEqual(colour);
    expect(Math.abs(coding!.quality - quality)).toBeLessThanOrEqual(1);
    expect(coding!.coarse).toBeLessThan(coding!.fine);
  });

  test('nothing is known of a PNG', async () => {
    expect(sniffImage(await bytesOf(plain(640, 480).png()))).toMatchObject({ ok: true, value: { coding: null } });
  });
});

describe('files that cannot be measured', () => {
  test.each([
    ['nothing', new Uint8Array(0), 'not-an-image'],
    ['text', text('{ "die": "d6" }'), 'not-an-image'],
    ['GIF', text('GIF89a....................'), 'format-unread'],
    ['half a WebP', text('RIFF....WEBPVP8 ........'), 'truncated'],
    ['HEIC without a picture', text('\0\0\0\x18ftypheic\0\0\0\0mif1heic'), 'heic'],
    ['half an AVIF', text('\0\0\0\x18ftypavif\0\0\0\0mif1avif\0\0\x10\0meta'), 'truncated'],
    ['a TIFF whose directory is missing', text('II*\0\x08\xff\0\0'), 'truncated'],
    ['raw data of a camera', text('II*\0\x10\0\0\0CR\x02\0'), 'format-unread'],
    ['JPEG XL', text('\0\0\0\x0cJXL \r\n\x87\n'), 'format-unread'],
    ['a JPEG of two bytes', Uint8Array.of(0xff, 0xd8), 'truncated'],
    ['a JPEG with rubbish for segments', Uint8Array.of(0xff, 0xd8, 1, 2, 3, 4), 'unreadable'],
    ['a JPEG without a frame', Uint8Array.of(0xff, 0xd8, 0xff, 0xd9), 'unreadable'],
  ])('%s', (_name, bytes, expected) => {
    expect(code(bytes)).toBe(expected);
  });

  test.each([0.05, 0.5, 0.9999])('a JPEG of which %f is there', (share) => {
    expect(code(sample.subarray(0, Math.floor(sample.length * share)))).toBe('truncated');
  });

  test('a PNG of which half is there', async () => {
    const bytes = await bytesOf(plain(640, 480).png());
    expect(code(bytes.subarray(0, bytes.length / 2))).toBe('truncated');
  });

  test('1 x 1', async () => {
    expect(sniffImage(await bytesOf(plain(1, 1).jpeg()))).toEqual({
      ok: false,
      error: { code: 'too-small', seen: '1 x 1 px', needed: '320 px' },
    });
  });

  test('30000 x 30000, by its head alone', async () => {
    const jpeg = await bytesOf(plain(640, 480).jpeg());
    const frame = jpeg.findIndex((v, i) => v === 0xff && jpeg[i + 1] === 0xc0);
    jpeg.set([0x75, 0x30, 0x75, 0x30], frame + 5);
    const scan = jpeg.findIndex((v, i) => v === 0xff && jpeg[i + 1] === 0xda);
    const expected = {
      ok: false,
      error: { code: 'too-large', seen: '30000 x 30000 px', needed: '16384 px, 64 MP' },
    };
    expect(sniffImage(jpeg.subarray(0, scan + 20))).toEqual(expected);
    const png = await bytesOf(plain(640, 480).png());
    new DataView(png.buffer, png.byteOffset).setUint32(16, 30000);
    new DataView(png.buffer, png.byteOffset).setUint32(20, 30000);
    expect(sniffImage(png.subarray(0, 60))).toEqual(expected);
  });

  test('a frame of usual size behind a huge one, or before it', async () => {
    const jpeg = Buffer.from(await bytesOf(plain(640, 480).jpeg()));
    const frame = jpeg.findIndex((v, i) => v === 0xff && jpeg[i + 1] === 0xc0);
    const huge = Buffer.from(jpeg.subarray(frame, frame + 19));
    huge.set([0x3a, 0x98, 0x3a, 0x98], 5);
    for (const at of [frame, frame + 19])
      expect(code(new Uint8Array(Buffer.concat([jpeg.subarray(0, at), huge, jpeg.subarray(at)])))).toBe('too-large');
  });

  test('a JPEG of more scans than any encoder writes', async () => {
    const jpeg = Buffer.from(await bytesOf(plain(640, 480).jpeg()));
    const scan = jpeg.findIndex((v, i) => v === 0xff && jpeg[i + 1] === 0xda);
    const end = jpeg.length - 2;
    const many = Array.from({ length: 101 }, () => jpeg.subarray(scan, end));
    const all = [jpeg.subarray(0, scan), ...many, jpeg.subarray(end)];
    expect(code(new Uint8Array(Buffer.concat(all)))).toBe('unreadable');
    expect(code(new Uint8Array(Buffer.concat(all.slice(0, 2).concat(jpeg.subarray(end)))))).toBe('ok');
  });

  test.each([0.4, 0.55, 0.7, 0.9])(
    'a JPEG cut at %f that was given an end marker: what decoders fill it with',
    async (share) => {
      const cut = Buffer.concat([sample.subarray(0, Math.floor(sample.length * share)), Buffer.of(0xff, 0xd9)]);
      expect(code(new Uint8Array(cut)), 'its bytes alone look whole').toBe('ok');
      expect(await openPhoto('a.jpg', new Uint8Array(cut), decodePicture)).toEqual({
        ok: false,
        error: { code: 'truncated' },
      });
      const turned = await sharp(await decodedAsPng(cut))
        .rotate(90)
        .jpeg({ quality: 100 })
        .toBuffer();
      expect(await openPhoto('a.jpg', new Uint8Array(turned), decodePicture), 'turned upright').toMatchObject({
        ok: false,
      });
      expect(await openPhoto('a.jpg', sample, decodePicture), 'whole').toMatchObject({ ok: true });
    },
  );

  test('at the limits', () => {
    const sized = (width: number, height: number, interlaced = 0): string => {
      const png = new Uint8Array(8 + 25 + 12);
      png.set([...text('\x89PNG\r\n\x1a\n'), 0, 0, 0, 13, ...text('IHDR')]);
      const view = new DataView(png.buffer);
      view.setUint32(16, width);
      view.setUint32(20, height);
      png[28] = interlaced;
      png.set(text('IEND'), 8 + 25 + 4);
      return code(png);
    };
    const { longest, shortest } = PICTURE_LIMITS;
    expect(sized(shortest, shortest)).toBe('ok');
    expect(sized(shortest - 1, 4000)).toBe('too-small');
    expect(sized(longest, 3900)).toBe('ok');
    expect(sized(longest + 1, 400)).toBe('too-large');
    expect(sized(8000, 8000)).toBe('ok');
    expect(sized(8000, 8001)).toBe('too-large');
    expect(sized(8000, 5000, 1)).toBe('ok');
    expect(sized(8000, 5001, 1)).toBe('too-large');
  });

  test('no bytes make it throw', () => {
    const head = sample.subarray(0, 700);
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.nat(head.length - 1), fc.nat(255)), { maxLength: 12 }), (changes) => {
        const bytes = head.slice();
        for (const [at, value] of changes) bytes[at] = value;
        sniffImage(bytes);
      }),
      { seed: 1, numRuns: 2000 },
    );
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 60 }), (bytes) => void readExif(bytes)),
      { seed: 1, numRuns: 2000 },
    );
  });
});

/** EXIF data with orientation 6 and a focal length in 35 mm equivalents. */
function tiff(little: boolean, focal35: number): Uint8Array {
  const bytes = new Uint8Array(8 + 2 + 24 + 4 + 2 + 12 + 4);
  const view = new DataView(bytes.buffer);
  const entry = (at: number, tag: number, type: number, value: number): void => {
    view.setUint16(at, tag, little);
    view.setUint16(at + 2, type, little);
    view.setUint32(at + 4, 1, little);
    if (type === 3) view.setUint16(at + 8, value, little);
    else view.setUint32(at + 8, value, little);
  };
  bytes.set(text(little ? 'II' : 'MM'));
  view.setUint16(2, 42, little);
  view.setUint32(4, 8, little);
  view.setUint16(8, 2, little);
  entry(10, 0x0112, 3, 6);
  entry(22, 0x8769, 4, 38);
  view.setUint16(38, 1, little);
  entry(40, 0xa405, 3, focal35);
  return bytes;
}

/** A JPEG with EXIF data as its first segment. */
function withExif(jpeg: Uint8Array, data: Uint8Array): Uint8Array {
  const length = 2 + 6 + data.length;
  return Uint8Array.of(
    0xff,
    0xd8,
    0xff,
    0xe1,
    length >> 8,
    length & 255,
    ...text('Exif\0\0'),
    ...data,
    ...jpeg.subarray(2),
  );
}
