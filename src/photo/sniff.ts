import { failure, success, type Result } from '../result.ts';
import { codingReader, isFrame } from './coding.ts';
import { NO_EXIF, readExif, type Exif } from './exif.ts';
import {
  DECODED_FORMATS,
  OTHER_FORMATS,
  otherFormat,
  readOther,
  type DecodedFormat,
  type OtherFormat,
} from './other-formats.ts';
import type { PhotoCoding } from '../formats/photo-coding.ts';
import type { Note } from '../formats/result.ts';

/**
 * Bounds of a photo's size: what is beyond them is refused before it is decoded. A photo at either bound that has to be turned upright takes
 * half a gigabyte; coefficients of one that is stored `inPasses` (progressive, interlaced) are held whole until the last of them.
 */
export const PICTURE_LIMITS = { pixels: 64e6, inPasses: 40e6, longest: 16384, shortest: 320 } as const;

/** What a photo's first bytes say, before any pixel is decoded. */
export interface SniffedImage extends Exif {
  readonly type: 'jpeg' | 'png' | DecodedFormat;
  /** As stored, px: where `orientation` is 5 to 8, the upright picture has them swapped. */
  readonly width: number;
  readonly height: number;
  /** How a JPEG's values were rounded; null where nothing was, or nothing is known of it. */
  readonly coding: PhotoCoding | null;
}

interface Size extends Pick<SniffedImage, 'width' | 'height'> {
  /** Whether it is stored in several passes over all of it. */
  readonly inPasses?: boolean;
}
type Read = Size & Exif & { readonly coding?: PhotoCoding | null };

const imageOf = (
  type: SniffedImage['type'],
  { width, height, orientation, focal35, coding = null }: Read,
): SniffedImage => ({ type, width, height, orientation, focal35, coding });

/**
 * Judges a file by its bytes alone: is it a photo that can be decoded, whole and of a reasonable size?
 *
 * A JPEG or PNG decodes anywhere; of the other formats a browser or the command line may still refuse some: see `openPhoto`.
 *
 * Sources: JPEG, ITU-T T.81 annex B; PNG, ISO/IEC 15948, 5; the others in `other-formats.ts`.
 *
 * @returns A failure with code `format-unread`, `not-an-image`, `truncated`, `unreadable`, `too-large` or `too-small`.
 */
export function sniffImage(bytes: Uint8Array): Result<SniffedImage, Note> {
  const sized = (type: SniffedImage['type'], read: Result<Read, Note>): Result<SniffedImage, Note> =>
    read.ok ? (wrongSize(read.value) ?? success(imageOf(type, read.value))) : read;
  if (bytes[0] === 0xff && bytes[1] === 0xd8) return sized('jpeg', readJpeg(bytes));
  if (ascii(bytes, 0, 8) === '\x89PNG\r\n\x1a\n') return sized('png', readPng(bytes));
  const other = otherFormat(bytes);
  if (other === null) return failure({ code: 'not-an-image', seen: strangerOf(bytes), needed: 'JPEG, PNG' });
  const decoded = DECODED_FORMATS.find((f) => f === other);
  if (!decoded) return failure(formatUnread(other));
  const read = readOther(decoded, bytes);
  return !read.ok && read.error.code === 'unreadable' ? failure(formatUnread(other)) : sized(decoded, read);
}

/** Pixels that a photo's first bytes tell, whatever comes after them; 0 where they tell none. */
export function pixelsTold(bytes: Uint8Array): number {
  const jpeg = bytes[0] === 0xff && bytes[1] === 0xd8 ? readJpeg(bytes, true) : null;
  const read = jpeg ?? sniffImage(bytes);
  return read.ok ? read.value.width * read.value.height : 0;
}

/** Says which format was seen, where it cannot be decoded. */
export const formatUnread = (format: OtherFormat): Note =>
  format === 'heic'
    ? { code: 'heic', seen: 'HEIC', needed: 'JPEG, PNG' }
    : { code: 'format-unread', seen: OTHER_FORMATS[format], needed: 'JPEG, PNG' };

function wrongSize({ width, height, inPasses = false }: Size): Result<never, Note> | null {
  const { longest, shortest } = PICTURE_LIMITS;
  const pixels = inPasses ? PICTURE_LIMITS.inPasses : PICTURE_LIMITS.pixels;
  const seen = `${width} x ${height} px`;
  if (Math.max(width, height) > longest || width * height > pixels)
    return failure({ code: 'too-large', seen, needed: `${longest} px, ${pixels / 1e6} MP` });
  if (Math.min(width, height) < shortest) return failure({ code: 'too-small', seen, needed: `${shortest} px` });
  return null;
}

const ascii = (bytes: Uint8Array, from: number, length: number): string =>
  String.fromCharCode(...bytes.subarray(from, from + length));

/** What a file is by its first bytes, if it is none of the pictures that are known. */
function strangerOf(bytes: Uint8Array): string {
  if (bytes.length === 0) return 'empty file';
  if (ascii(bytes, 4, 4) === 'ftyp') return 'video';
  return ascii(bytes, 0, 4) === '%PDF' ? 'PDF' : 'unknown';
}

const TRUNCATED: Result<never, Note> = failure({ code: 'truncated' });

/**
 * Walks the segments to the end of the picture: without its end marker a decoder fills the rest with grey, and says nothing.
 *
 * @param headOnly  To the first scan: what comes after it is not asked about.
 */
function readJpeg(bytes: Uint8Array, headOnly = false): Result<Read, Note> {
  const coding = codingReader();
  let exif = NO_EXIF;
  let size: Size | null = null;
  let scans = 0;
  for (let at = 2; at + 1 < bytes.length;) {
    if (bytes[at] !== 0xff) return failure({ code: 'unreadable' });
    const marker = bytes[at + 1]!;
    if (marker === 0xff) {
      at++;
      continue;
    }
    if (marker === 0xd9)
      return size === null ? failure({ code: 'unreadable' }) : success({ ...size, ...exif, coding: coding.result() });
    const length = (bytes[at + 2]! << 8) | bytes[at + 3]!;
    if (at + 2 + length > bytes.length) return TRUNCATED;
    if (length < 2) return failure({ code: 'unreadable' });
    const body = bytes.subarray(at + 4, at + 2 + length);
    coding.segment(marker, body);
    // Decoders differ in which of several frames they take.
    if (isFrame(marker)) size = larger(size, frameSize(marker, body));
    if (marker === 0xe1 && exif === NO_EXIF && ascii(body, 0, 6) === 'Exif\0\0') exif = readExif(body.subarray(6));
    // A picture may hold several megabytes after this: what is too large is told from here.
    if (marker === 0xda && size !== null && (headOnly || wrongSize(size) !== null))
      return success({ ...size, ...exif });
    at += 2 + length;
    if (marker === 0xda && ++scans > MOST_SCANS) return failure({ code: 'unreadable' });
    if (marker === 0xda) at = endOfScan(bytes, at);
  }
  return TRUNCATED;
}

/** Scans of a progressive JPEG, each of which is a pass over all of it: encoders write about ten. */
const MOST_SCANS = 100;
const PROGRESSIVE = [0xc2, 0xc6, 0xca, 0xce];
const frameSize = (marker: number, body: Uint8Array): Size => ({
  height: (body[1]! << 8) | body[2]!,
  width: (body[3]! << 8) | body[4]!,
  inPasses: PROGRESSIVE.includes(marker),
});
const larger = (a: Size | null, b: Size): Size => (a !== null && a.width * a.height >= b.width * b.height ? a : b);

/** Index of the first marker after coded data, in which FF is followed by 00 or a restart marker. */
function endOfScan(bytes: Uint8Array, from: number): number {
  for (let at = bytes.indexOf(0xff, from); at >= 0; at = bytes.indexOf(0xff, at + 1)) {
    const next = bytes[at + 1];
    if (next !== 0 && next !== 0xff && !(next! >= 0xd0 && next! <= 0xd7)) return at;
  }
  return bytes.length;
}

function readPng(bytes: Uint8Array): Result<Read, Note> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let exif = NO_EXIF;
  let size: Size | null = null;
  for (let at = 8; at + 12 <= bytes.length;) {
    const length = view.getUint32(at);
    const name = ascii(bytes, at + 4, 4);
    if (at + 12 + length > bytes.length) break;
    if (name === 'IHDR' && length >= 13)
      size = { width: view.getUint32(at + 8), height: view.getUint32(at + 12), inPasses: bytes[at + 20] === 1 };
    if (name === 'eXIf') exif = readExif(bytes.subarray(at + 8, at + 8 + length));
    if (name === 'IEND') return size === null ? failure({ code: 'unreadable' }) : success({ ...size, ...exif });
    at += 12 + length;
  }
  // A huge size in the head is the reason even where the rest is missing.
  return size === null ? TRUNCATED : (wrongSize(size) ?? TRUNCATED);
}
