import { PICTURE_LIMITS } from '../src/photo/sniff.ts';
import type { DecodedPicture } from '../src/photo/open.ts';
import { Rooms } from '../src/photo/rooms.ts';

/** Longest side of a thumbnail, px. */
const THUMBNAIL = 320;

export interface DecodedPhoto {
  readonly picture: DecodedPicture;
  readonly thumbnail: ImageBitmap;
}

const rooms = new Rooms<ArrayBuffer>();
/** Rooms that nobody asks for so long, ms, are given back to the device. */
const IDLE = 4000;
let idle: ReturnType<typeof setTimeout> | undefined;

/**
 * Pixels of a photo, turned upright as its EXIF says, without colour management.
 *
 * Rejects where the browser's decoder refuses the file, or where this machine has not the memory.
 */
export async function decode(bytes: Uint8Array<ArrayBuffer>): Promise<DecodedPhoto> {
  const bitmap = await createImageBitmap(new Blob([bytes]), {
    imageOrientation: 'from-image',
    colorSpaceConversion: 'none',
  });
  try {
    const { width, height } = bitmap;
    if (width * height > PICTURE_LIMITS.pixels) throw new Error(`${width} x ${height} px`);
    const data = pixelsOf(bitmap);
    const shrink = Math.min(1, THUMBNAIL / Math.max(width, height));
    const small = drawn(bitmap, Math.round(width * shrink), Math.round(height * shrink));
    const release = (): void => giveBack(data.buffer);
    const picture = { width, height, channels: 4, data, release } as const;
    return { picture, thumbnail: small.canvas.transferToImageBitmap() };
  } finally {
    bitmap.close();
  }
}

function giveBack(room: ArrayBuffer): void {
  rooms.give(room);
  clearTimeout(idle);
  idle = setTimeout(() => rooms.clear(), IDLE);
}

/** Pixels are taken out in bands of so many: a canvas of the whole picture would be held beside it. */
const BAND = 1e6;

function pixelsOf(bitmap: ImageBitmap): Uint8ClampedArray<ArrayBuffer> {
  const { width, height } = bitmap;
  const rows = Math.min(height, Math.max(1, Math.floor(BAND / width)));
  const context = canvasOf(width, rows);
  // Where the picture lets light through, nothing of the band before must shine through it.
  context.globalCompositeOperation = 'copy';
  const size = 4 * width * height;
  const data = new Uint8ClampedArray(rooms.take(size) ?? new ArrayBuffer(size), 0, size);
  for (let y = 0; y < height; y += rows) {
    const n = Math.min(rows, height - y);
    context.drawImage(bitmap, 0, -y);
    data.set(context.getImageData(0, 0, width, n).data, 4 * width * y);
  }
  return data;
}

function drawn(bitmap: ImageBitmap, width: number, height: number): OffscreenCanvasRenderingContext2D {
  const context = canvasOf(width, height);
  context.imageSmoothingQuality = 'high';
  context.drawImage(bitmap, 0, 0, width, height);
  return context;
}

function canvasOf(width: number, height: number): OffscreenCanvasRenderingContext2D {
  const context = new OffscreenCanvas(width, height).getContext('2d', { willReadFrequently: true });
  if (context === null) throw new Error(`no canvas of ${width} x ${height} px`);
  return context;
}
