import { failure, success, type Result } from '../src/result.ts';
import type { Picture } from '../src/vision/picture.ts';
import type { DecodeFailure, PhotoFile } from './protocol.ts';

/** Pixels of a photo, turned upright as its EXIF says, without colour management. */
export async function decode({ name, bytes }: PhotoFile): Promise<Result<Picture, DecodeFailure>> {
  let bitmap: ImageBitmap;
  try {
    bitmap = await createImageBitmap(new Blob([bytes]), {
      imageOrientation: 'from-image',
      colorSpaceConversion: 'none',
    });
  } catch (thrown) {
    return failure({ code: 'not-decoded', name, detail: String(thrown) });
  }
  try {
    const { width, height } = bitmap;
    const context = new OffscreenCanvas(width, height).getContext('2d', { willReadFrequently: true });
    if (context === null) return failure({ code: 'not-decoded', name, detail: `no canvas of ${width} x ${height} px` });
    context.drawImage(bitmap, 0, 0);
    return success({ width, height, channels: 4, data: context.getImageData(0, 0, width, height).data });
  } finally {
    bitmap.close();
  }
}
