import { failure, success, type Result } from '../result.ts';
import type { Note } from '../formats/result.ts';
import { NO_EXIF, readExif, tiffSize, type Exif } from './exif.ts';

/** Pictures that some decoders read beside JPEG and PNG; what each is called to its owner. */
export const OTHER_FORMATS = {
  webp: 'WebP',
  tiff: 'TIFF',
  bmp: 'BMP',
  avif: 'AVIF',
  heic: 'HEIC',
  gif: 'GIF',
  jxl: 'JPEG XL',
  jp2: 'JPEG 2000',
  raw: 'RAW',
} as const;
export type OtherFormat = keyof typeof OTHER_FORMATS;

/** Formats that a browser or the command line may decode; the others are named and refused before that. */
export const DECODED_FORMATS = ['webp', 'tiff', 'bmp', 'avif', 'heic'] as const;
export type DecodedFormat = (typeof DECODED_FORMATS)[number];

/** Stored size, px, and EXIF data where they are read. */
export interface PictureHead extends Exif {
  readonly width: number;
  readonly height: number;
}

const TRUNCATED: Result<never, Note> = failure({ code: 'truncated' });
const UNREADABLE: Result<never, Note> = failure({ code: 'unreadable' });

const ascii = (bytes: Uint8Array, from: number, length: number): string =>
  String.fromCharCode(...bytes.subarray(from, from + length));

const HEIF_BRANDS = ['heic', 'heix', 'hevc', 'hevx', 'heim', 'heis', 'mif1', 'msf1'];
/** TIFF files that hold a camera's raw data, by the maker's mark in their first bytes. */
const RAW_MARKS = [
  [8, 'CR'],
  [0, 'IIRO'],
  [0, 'IIU\0'],
  [0, 'FUJIFILMCCD-RAW'],
] as const;

/**
 * The format that a file's first bytes tell, of those that are neither JPEG nor PNG; null where none is known.
 *
 * Sources: RIFF container of WebP (RFC 9649); TIFF 6.0, section 2; file type box, ISO/IEC 14496-12, 4.3, HEIF's and AVIF's brands,
 * ISO/IEC 23008-12 and AV1 Image File Format, 1.1; JPEG XL, ISO/IEC 18181-2; JPEG 2000, ISO/IEC 15444-1, I.5.1 (from memory).
 */
export function otherFormat(bytes: Uint8Array): OtherFormat | null {
  if (ascii(bytes, 4, 4) === 'ftyp') {
    const brand = ascii(bytes, 8, 4);
    if (brand === 'avif' || brand === 'avis') return 'avif';
    if (brand === 'crx ') return 'raw';
    if (!HEIF_BRANDS.includes(brand)) return null;
    // A general brand says what it holds among those that it goes with.
    return brand === 'mif1' && brands(bytes).some((b) => b === 'avif') ? 'avif' : 'heic';
  }
  if (ascii(bytes, 0, 4) === 'RIFF' && ascii(bytes, 8, 4) === 'WEBP') return 'webp';
  if (RAW_MARKS.some(([at, mark]) => ascii(bytes, at, mark.length) === mark)) return 'raw';
  if (ascii(bytes, 0, 4) === 'II*\0' || ascii(bytes, 0, 4) === 'MM\0*') return 'tiff';
  if (ascii(bytes, 0, 2) === 'BM' && bytes.length > 26 && bytes[6] === 0 && bytes[7] === 0) return 'bmp';
  if (ascii(bytes, 0, 3) === 'GIF') return 'gif';
  if (ascii(bytes, 0, 12) === '\0\0\0\x0cJXL \r\n\x87\n' || (bytes[0] === 0xff && bytes[1] === 0x0a)) return 'jxl';
  if (ascii(bytes, 0, 12) === '\0\0\0\x0cjP  \r\n\x87\n') return 'jp2';
  return null;
}

/** Brands that a file type box lists after its own. */
function brands(bytes: Uint8Array): string[] {
  const size = Math.min(viewOf(bytes).getUint32(0), bytes.length, 256);
  const out: string[] = [];
  for (let at = 16; at + 4 <= size; at += 4) out.push(ascii(bytes, at, 4));
  return out;
}

const viewOf = (bytes: Uint8Array): DataView => new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);

const READERS: Readonly<Record<DecodedFormat, (bytes: Uint8Array) => Result<PictureHead, Note>>> = {
  webp: readWebp,
  tiff: readTiff,
  bmp: readBmp,
  avif: readHeif,
  heic: readHeif,
};

/** Size and EXIF data of a file of one of these formats; a failure has the code `truncated` or `unreadable`. */
export function readOther(format: DecodedFormat, bytes: Uint8Array): Result<PictureHead, Note> {
  try {
    return READERS[format](bytes);
  } catch (thrown) {
    // DataView's own check of bounds: an offset points past the end.
    if (thrown instanceof RangeError) return TRUNCATED;
    throw thrown;
  }
}

/** Source: WebP container (RFC 9649), 2.5 to 2.7. */
function readWebp(bytes: Uint8Array): Result<PictureHead, Note> {
  const view = viewOf(bytes);
  let size: { width: number; height: number } | null = null;
  let exif = NO_EXIF;
  const end = 8 + view.getUint32(4, true);
  if (end > bytes.length) return TRUNCATED;
  for (let at = 12; at + 8 <= end;) {
    const name = ascii(bytes, at, 4);
    const length = view.getUint32(at + 4, true);
    const body = at + 8;
    if (body + length > end) return TRUNCATED;
    if (name === 'VP8X') size = { width: 1 + le24(bytes, body + 4), height: 1 + le24(bytes, body + 7) };
    else if (name === 'VP8 ')
      size ??= { width: view.getUint16(body + 6, true) & 0x3fff, height: view.getUint16(body + 8, true) & 0x3fff };
    else if (name === 'VP8L') {
      const bits = view.getUint32(body + 1, true);
      size ??= { width: 1 + (bits & 0x3fff), height: 1 + ((bits >>> 14) & 0x3fff) };
    } else if (name === 'EXIF') {
      const data = bytes.subarray(body, body + length);
      exif = readExif(ascii(data, 0, 6) === 'Exif\0\0' ? data.subarray(6) : data);
    }
    at = body + length + (length % 2);
  }
  return size === null ? UNREADABLE : success({ ...size, ...exif });
}

const le24 = (bytes: Uint8Array, at: number): number => bytes[at]! | (bytes[at + 1]! << 8) | (bytes[at + 2]! << 16);

function readTiff(bytes: Uint8Array): Result<PictureHead, Note> {
  const size = tiffSize(bytes);
  return size === null ? TRUNCATED : success({ ...size, ...readExif(bytes) });
}

/** Source: the 40 byte BITMAPINFOHEADER that later heads begin with (from memory). */
function readBmp(bytes: Uint8Array): Result<PictureHead, Note> {
  const view = viewOf(bytes);
  if (view.getUint32(2, true) > bytes.length) return TRUNCATED;
  return success({ width: Math.abs(view.getInt32(18, true)), height: Math.abs(view.getInt32(22, true)), ...NO_EXIF });
}

/** Boxes that hold others, and how many bytes of their own come before those. */
const HOLDERS: Readonly<Record<string, number>> = { meta: 4, iprp: 0, ipco: 0 };

/**
 * The largest picture of a HEIF file: thumbnails and tiles are smaller than the whole that they make up. Decoders turn it upright
 * themselves, so its orientation is 1. Source: ISO/IEC 23008-12, 6.5.3 (`ispe`), from memory.
 */
function readHeif(bytes: Uint8Array): Result<PictureHead, Note> {
  const view = viewOf(bytes);
  let best: { width: number; height: number } | null = null;
  const walk = (from: number, to: number): boolean => {
    for (let at = from; at + 8 <= to;) {
      const short = view.getUint32(at);
      const head = short === 1 ? 16 : 8;
      const length = short === 1 ? Number(view.getBigUint64(at + 8)) : short === 0 ? to - at : short;
      if (length < head || at + length > to) return false;
      const name = ascii(bytes, at + 4, 4);
      const own = HOLDERS[name];
      if (own !== undefined && !walk(at + head + own, at + length)) return false;
      if (name === 'ispe') {
        const [width, height] = [view.getUint32(at + head + 4), view.getUint32(at + head + 8)];
        if (best === null || width * height > best.width * best.height) best = { width, height };
      }
      at += length;
    }
    return true;
  };
  if (!walk(0, bytes.length)) return TRUNCATED;
  return best === null ? UNREADABLE : success({ ...(best as { width: number; height: number }), ...NO_EXIF });
}
