import { join } from 'node:path';
import sharp from 'sharp';
import * as v from 'valibot';
import { FACES_PICTURE, type FacesPicture } from '../formats/faces-picture.ts';
import { base64 } from '../formats/base64.ts';
import { failure, success, type Result } from '../result.ts';
import { fileBytes, fileJson } from './files.ts';

/** What `write-faces.ts` leaves behind, as far as a report needs it. */
const WRITTEN = v.object({
  format: v.literal('evencast-faces/1'),
  faces: v.array(v.object({ face: v.string(), photo: v.string() })),
  unseen: v.array(v.string()),
  net: v.literal('net.png'),
  netUmPerPx: v.nullable(v.number()),
});
/** Quality of the JPEG that goes into a report. */
const QUALITY = 85;

/** The unfolded faces of a folder that `measure --faces` wrote, as a report keeps them; or what is wrong with it. */
export async function facesIn(folder: string): Promise<Result<FacesPicture, string>> {
  const none = failure(`${folder}: no faces as "measure --faces" writes them`);
  const json = await fileJson(join(folder, 'faces.json'));
  if (!json.ok) return failure(json.error);
  const about = v.safeParse(WRITTEN, json.value);
  const png = await fileBytes(join(folder, 'net.png'));
  if (!png.ok) return failure(png.error);
  if (!about.success) return none;
  const { faces, unseen, netUmPerPx: umPerPx } = about.output;
  if (umPerPx === null)
    return failure(`${folder}: no face of the die was known by what is on it, so none is shown; leave --faces out`);
  try {
    const { data, info } = await sharp(png.value, { limitInputPixels: 4096 * 4096 })
      .flatten({ background: '#ffffff' })
      .toColourspace('srgb')
      .jpeg({ quality: QUALITY })
      .toBuffer({ resolveWithObject: true });
    const made = v.safeParse(FACES_PICTURE, {
      jpeg: base64(data),
      width: info.width,
      height: info.height,
      umPerPx,
      faces,
      unseen,
    });
    return made.success ? success(made.output) : none;
  } catch {
    return none;
  }
}
