import type { View } from './outline-drawing.ts';

/** Decoding takes much memory: one photo after another. */
let queue: Promise<unknown> = Promise.resolve();

/**
 * A part of a photo, made small. Decoded anew and off the page's thread: the worker keeps no whole pictures.
 *
 * @returns Null where the file cannot be read any more. The receiver owns the bitmap.
 */
export function partOfPhoto(file: Blob, view: View, width: number): Promise<ImageBitmap | null> {
  const made = queue.then(async () => {
    try {
      const whole = await createImageBitmap(file, { imageOrientation: 'from-image' });
      const { x, y, width: w, height: h } = view;
      // A bitmap's pixels begin at 0, a photo's first pixel centre lies there.
      const part = await createImageBitmap(
        whole,
        Math.round(x + 0.5),
        Math.round(y + 0.5),
        Math.round(w),
        Math.round(h),
        {
          resizeWidth: width,
          resizeHeight: Math.round((width * h) / w),
          resizeQuality: 'medium',
        },
      );
      whole.close();
      return part;
    } catch {
      return null;
    }
  });
  queue = made;
  return made;
}
