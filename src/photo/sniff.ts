import { failure, success, type Result } from '../result.ts';
import { NO_EXIF, readExif, type Exif } from './exif.ts';
import type { Note } from '../formats/result.ts';

/** Bounds of a photo's size: what is beyond them is refused before it is decoded. */
export const PICTURE_LIMITS = { pixels: 100e6, longest: 16384, shortest: 320 } as const;

/** What a photo's first bytes say, before any pixel is decoded. */
export interface SniffedImage extends Exif {
  readonly type: 'jpeg' | 'png';
  /** As stored, px: where `orientation` is 5 to 8, the upright picture has them swapped. */
  readonly width: number;
  readonly height: number;
}

type Size = Pick<SniffedImage, 'width' | 'height'>;

/**
 * Judges a file by its bytes alone: is it a photo that can be decoded, whole and of a reasonable size?
 *
 * Sources: JPEG, ITU-T T.81 annex B; PNG, ISO/IEC 15948, 5; file type box, ISO/IEC 14496-12, 4.3, HEIF's brands,
 * ISO/IEC 23008-12 (from memory).
 *
 * @returns A failure with code `heic`, `not-an-image`, `truncated`, `unreadable`, `too-large` or `too-small`.
 */
export function sniffImage(bytes: Uint8Array): Result<SniffedImage, Note> {
  const type = typeOf(bytes);
  if (type === 'heic') return failure({ code: 'heic', seen: 'HEIC', needed: 'JPEG, PNG' });
  if (type !== 'jpeg' && type !== 'png') return failure({ code: 'not-an-image', seen: type, needed: 'JPEG, PNG' });
  const read = type === 'jpeg' ? readJpeg(bytes) : readPng(bytes);
  return read.ok ? (wrongSize(read.value) ?? success({ type, ...read.value })) : read;
}

function wrongSize({ width, height }: Size): Result<never, Note> | null {
  const { pixels, longest, shortest } = PICTURE_LIMITS;
  const seen = `${width} x ${height} px`;
  if (Math.max(width, height) > longest || width * height > pixels)
    return failure({ code: 'too-large', seen, needed: `${longest} px, ${pixels / 1e6} MP` });
  if (Math.min(width, height) < shortest) return failure({ code: 'too-small', seen, needed: `${shortest} px` });
  return null;
}

const ascii = (bytes: Uint8Array, from: number, length: number): string =>
  String.fromCharCode(...bytes.subarray(from, from + length));

const HEIF_BRANDS = ['heic', 'heix', 'hevc', 'hevx', 'heim', 'heis', 'mif1', 'msf1'];

/** By the first bytes; `jpeg`, `png` and `heic` matter, the others are named for the message. */
function typeOf(bytes: Uint8Array): string {
  if (bytes.length === 0) return 'empty file';
  if (bytes[0] === 0xff && bytes[1] === 0xd8) return 'jpeg';
  if (ascii(bytes, 0, 8) === '\x89PNG\r\n\x1a\n') return 'png';
  if (ascii(bytes, 4, 4) === 'ftyp') {
    const brand = ascii(bytes, 8, 4);
    if (HEIF_BRANDS.includes(brand)) return 'heic';
    return brand === 'avif' ? 'AVIF' : 'video';
  }
  if (ascii(bytes, 0, 4) === 'RIFF' && ascii(bytes, 8, 4) === 'WEBP') return 'WebP';
  if (ascii(bytes, 0, 3) === 'GIF') return 'GIF';
  if (ascii(bytes, 0, 4) === '%PDF') return 'PDF';
  if (ascii(bytes, 0, 4) === 'II*\0' || ascii(bytes, 0, 4) === 'MM\0*') return 'TIFF, raw';
  return 'unknown';
}

const TRUNCATED: Result<never, Note> = failure({ code: 'truncated' });

/** Frame headers: FF C0 to FF CF without the tables DHT, JPG and DAC. */
const isFrame = (marker: number): boolean => marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker);

/** Walks the segments to the end of the picture: without its end marker a decoder fills the rest with grey, and says nothing. */
function readJpeg(bytes: Uint8Array): Result<Size & Exif, Note> {
  let exif = NO_EXIF;
  let size: Size | null = null;
  for (let at = 2; at + 1 < bytes.length;) {
    if (bytes[at] !== 0xff) return failure({ code: 'unreadable' });
    const marker = bytes[at + 1]!;
    if (marker === 0xff) {
      at++;
      continue;
    }
    if (marker === 0xd9) return size === null ? failure({ code: 'unreadable' }) : success({ ...size, ...exif });
    const length = (bytes[at + 2]! << 8) | bytes[at + 3]!;
    if (at + 2 + length > bytes.length) return TRUNCATED;
    if (length < 2) return failure({ code: 'unreadable' });
    const body = bytes.subarray(at + 4, at + 2 + length);
    if (isFrame(marker)) size = { height: (body[1]! << 8) | body[2]!, width: (body[3]! << 8) | body[4]! };
    if (marker === 0xe1 && exif === NO_EXIF && ascii(body, 0, 6) === 'Exif\0\0') exif = readExif(body.subarray(6));
    // A picture may hold several megabytes after this: what is too large is told from here.
    if (marker === 0xda && size !== null && wrongSize(size) !== null) return success({ ...size, ...exif });
    at += 2 + length;
    if (marker === 0xda) at = endOfScan(bytes, at);
  }
  return TRUNCATED;
}

/** Index of the first marker after coded data, in which FF is followed by 00 or a restart marker. */
function endOfScan(bytes: Uint8Array, from: number): number {
  for (let at = bytes.indexOf(0xff, from); at >= 0; at = bytes.indexOf(0xff, at + 1)) {
    const next = bytes[at + 1];
    if (next !== 0 && next !== 0xff && !(next! >= 0xd0 && next! <= 0xd7)) return at;
  }
  return bytes.length;
}

function readPng(bytes: Uint8Array): Result<Size & Exif, Note> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let exif = NO_EXIF;
  let size: Size | null = null;
  for (let at = 8; at + 12 <= bytes.length;) {
    const length = view.getUint32(at);
    const name = ascii(bytes, at + 4, 4);
    if (at + 12 + length > bytes.length) break;
    if (name === 'IHDR') size = { width: view.getUint32(at + 8), height: view.getUint32(at + 12) };
    if (name === 'eXIf') exif = readExif(bytes.subarray(at + 8, at + 8 + length));
    if (name === 'IEND') return size === null ? failure({ code: 'unreadable' }) : success({ ...size, ...exif });
    at += 12 + length;
  }
  // A huge size in the head is the reason even where the rest is missing.
  return size === null ? TRUNCATED : (wrongSize(size) ?? TRUNCATED);
}
