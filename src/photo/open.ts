import { failure, success, type Result } from '../result.ts';
import type { Note } from '../formats/result.ts';
import type { Picture } from '../vision/picture.ts';
import { endsInFill } from './cut-short.ts';
import { focalPx } from './exif-focal.ts';
import type { DecodedFormat } from './other-formats.ts';
import { formatUnread, sniffImage, type SniffedImage } from './sniff.ts';
import type { Px } from '../units.ts';

/** A picture, and how its memory is given back once nobody reads its pixels any more. */
export interface DecodedPicture extends Picture {
  readonly release?: () => void;
}

/** Pixels of a photo, upright, colours as stored. Rejects where they cannot be had. */
export type Decode<Bytes extends Uint8Array = Uint8Array> = (bytes: Bytes) => Promise<DecodedPicture>;

/** A photo file opened. */
export interface OpenedPhoto {
  /** Upright. */
  readonly picture: DecodedPicture;
  readonly sniffed: SniffedImage;
  /** Focal length that the file states; null where it states none. */
  readonly focal: Px | null;
}

/**
 * From a file to its pixels: what is no photo is refused by its bytes alone, what the decoder does not read by the name of its format.
 *
 * @param bytes  Empty where there is no such file.
 * @returns      A failure with code `no-file`, one of `sniffImage`'s, `heic`, `format-unread`, `unreadable` or `truncated`.
 */
export async function openPhoto<Bytes extends Uint8Array>(
  name: string,
  bytes: Bytes,
  decode: Decode<Bytes>,
): Promise<Result<OpenedPhoto, Note>> {
  if (bytes.length === 0) return failure({ code: 'no-file', seen: name });
  const sniffed = sniffImage(bytes);
  if (!sniffed.ok) return sniffed;
  const decoded = await decode(bytes).then(success<DecodedPicture>, (thrown: unknown) => failure(String(thrown)));
  if (!decoded.ok) return failure(notDecoded(sniffed.value.type, decoded.error));
  if (sniffed.value.type === 'jpeg' && endsInFill(decoded.value)) {
    decoded.value.release?.();
    return failure({ code: 'truncated' });
  }
  const { width, height } = decoded.value;
  return success({
    picture: decoded.value,
    sniffed: sniffed.value,
    focal: focalPx(sniffed.value.focal35, width, height),
  });
}

/** Opens a photo for as long as `use` takes: nobody reads its pixels afterwards, and their memory serves the next one's. Fails as `openPhoto` does. */
export async function withPhoto<Bytes extends Uint8Array, T>(
  name: string,
  bytes: Bytes,
  decode: Decode<Bytes>,
  use: (opened: OpenedPhoto) => T,
): Promise<Result<T, Note>> {
  const opened = await openPhoto(name, bytes, decode);
  if (!opened.ok) return opened;
  try {
    return success(use(opened.value));
  } finally {
    opened.value.picture.release?.();
  }
}

const notDecoded = (type: 'jpeg' | 'png' | DecodedFormat, why: string): Note =>
  type === 'jpeg' || type === 'png' ? { code: 'unreadable', seen: why } : formatUnread(type);
