import { open } from 'node:fs/promises';

/** A video that is written frame by frame. */
export interface VideoWriter {
  /** Adds a picture, [r, g, b] each pixel, as so many frames. */
  add(rgb: Buffer, frames: number): Promise<void>;
  close(): Promise<void>;
}

/**
 * Begins an uncompressed video (YUV4MPEG2, 4:2:0) that a browser's fake camera plays over and over.
 *
 * @param width  Px, even, as is `height`.
 * @param rate   Frames per second.
 */
export async function videoWriter(file: string, width: number, height: number, rate: number): Promise<VideoWriter> {
  const out = await open(file, 'w');
  await out.write(`YUV4MPEG2 W${width} H${height} F${rate}:1 Ip A1:1 C420jpeg\n`);
  return {
    async add(rgb, frames) {
      const frame = Buffer.concat([Buffer.from('FRAME\n'), planes(rgb, width, height)]);
      for (let k = 0; k < frames; k++) await out.write(frame);
    },
    close: () => out.close(),
  };
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
