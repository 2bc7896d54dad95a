import { open } from 'node:fs/promises';
import sharp from 'sharp';

/**
 * Writes photos as an uncompressed video (YUV4MPEG2, 4:2:0) that a browser's fake camera plays over and over.
 *
 * @param photos  Files of one size, even in width and height.
 * @param frames  So many frames each.
 * @param rate    Frames per second.
 */
export async function writeVideo(file: string, photos: readonly string[], frames: number, rate: number): Promise<void> {
  const out = await open(file, 'w');
  try {
    for (const [i, photo] of photos.entries()) {
      const { data, info } = await sharp(photo).rotate().removeAlpha().raw().toBuffer({ resolveWithObject: true });
      if (i === 0) await out.write(`YUV4MPEG2 W${info.width} H${info.height} F${rate}:1 Ip A1:1 C420jpeg\n`);
      const frame = Buffer.concat([Buffer.from('FRAME\n'), planes(data, info.width, info.height)]);
      for (let k = 0; k < frames; k++) await out.write(frame);
    }
  } finally {
    await out.close();
  }
}

/** Luma, then both colour differences at half resolution (ITU-R BT.601-7, studio range). */
function planes(rgb: Buffer, width: number, height: number): Buffer {
  const size = width * height;
  const out = Buffer.alloc((size * 3) / 2);
  for (let i = 0; i < size; i++)
    out[i] = Math.round(16 + (65.481 * rgb[3 * i]! + 128.553 * rgb[3 * i + 1]! + 24.966 * rgb[3 * i + 2]!) / 255);
  for (let y = 0, q = size; y < height; y += 2)
    for (let x = 0; x < width; x += 2, q++) {
      const mean = (c: number): number =>
        [0, 1, width, width + 1].reduce((s, k) => s + rgb[3 * (y * width + x + k) + c]! / 4, 0);
      const [r, g, b] = [mean(0), mean(1), mean(2)];
      out[q] = Math.round(128 + (-37.797 * r - 74.203 * g + 112 * b) / 255);
      out[q + size / 4] = Math.round(128 + (112 * r - 93.786 * g - 18.214 * b) / 255);
    }
  return out;
}
