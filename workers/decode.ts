import type { Picture } from '../src/vision/picture.ts';

/** Longest side of a thumbnail, px. */
const THUMBNAIL = 320;

export interface DecodedPhoto {
  readonly picture: Picture;
  readonly thumbnail: ImageBitmap;
}

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
    const data = drawn(bitmap, width, height).getImageData(0, 0, width, height).data;
    const shrink = Math.min(1, THUMBNAIL / Math.max(width, height));
    const small = drawn(bitmap, Math.round(width * shrink), Math.round(height * shrink));
    return { picture: { width, height, channels: 4, data }, thumbnail: small.canvas.transferToImageBitmap() };
  } finally {
    bitmap.close();
  }
}

function drawn(bitmap: ImageBitmap, width: number, height: number): OffscreenCanvasRenderingContext2D {
  const context = new OffscreenCanvas(width, height).getContext('2d', { willReadFrequently: true });
  if (context === null) throw new Error(`no canvas of ${width} x ${height} px`);
  context.imageSmoothingQuality = 'high';
  context.drawImage(bitmap, 0, 0, width, height);
  return context;
}
