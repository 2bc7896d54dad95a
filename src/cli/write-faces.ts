import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { bestFaces, shownFaces } from '../faces/best-faces.ts';
import type { FacePicture } from '../faces/face-picture.ts';
import type { SetNumbers } from '../faces/numbers.ts';
import { faceNet } from '../figures/face-net.ts';
import { failure, type Result } from '../result.ts';
import { put, whyNot } from './streams.ts';
import { SRGB } from '../vision/tone.ts';

/** Writes each face's best picture (face-NUMBER.png), the unfolded net (net.png), and faces.json: photo, um per px, slant of each. Fails with what stood in the way. */
export async function writeFaces(folder: string, set: SetNumbers): Promise<Result<null, string>> {
  try {
    await mkdir(folder, { recursive: true });
  } catch (error) {
    return failure(`${folder} cannot be made: ${whyNot(error as NodeJS.ErrnoException)}`);
  }
  const best = bestFaces(set);
  const index: { face: string; file: string; photo: string; umPerPx: number; slant: number }[] = [];
  for (const face of best) {
    if (!face) continue;
    const { label, photo, picture } = face;
    const file = `face-${label.replace(/[^\w-]/g, '_')}.png`;
    const written = await put(await facePng(picture), join(folder, file));
    if (!written.ok) return written;
    index.push({ face: label, file, photo, umPerPx: picture.umPerPx, slant: picture.slant });
  }
  const { width, height, data, umPerPx } = faceNet(set.solid, best);
  const net = await sharp(data, { raw: { width, height, channels: 4 } })
    .png()
    .toBuffer();
  const written = await put(net, join(folder, 'net.png'));
  if (!written.ok) return written;
  const about = {
    format: 'evencast-faces/1',
    die: { kind: set.kind },
    faces: index,
    unseen: shownFaces(set, best).unseen,
    net: 'net.png',
    netUmPerPx: umPerPx,
  };
  return put(`${JSON.stringify(about, null, 1)}\n`, join(folder, 'faces.json'));
}

/** A straightened face as PNG; what lies off its land is transparent. */
export function facePng({ light, mask, size }: FacePicture): Promise<Buffer> {
  const data = Buffer.alloc(4 * size * size);
  for (let k = 0; k < size * size; k++) {
    for (let c = 0; c < 3; c++) data[4 * k + c] = Math.round(SRGB.toDisplay(light[3 * k + c]!));
    data[4 * k + 3] = mask[k] ? 255 : 0;
  }
  return sharp(data, { raw: { width: size, height: size, channels: 4 } })
    .png()
    .toBuffer();
}
