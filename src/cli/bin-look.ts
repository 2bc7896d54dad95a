import { join } from 'node:path';
import type { Looked } from '../bin/bin-stream.ts';
import { lookAt } from '../bin/look-at.ts';
import type { BinJob } from '../bin/types.ts';
import { openPhoto } from '../photo/open.ts';
import { failure } from '../result.ts';
import type { Cv } from '../vision/cv.ts';
import { decodePicture } from './decode.ts';
import { fileBytes } from './files.ts';

/** Looks at one photo of a folder: the same in every thread, whatever was looked at before. */
export const photoLooker =
  (cv: Cv, folder: string, job: BinJob) =>
  async (name: string): Promise<Looked> => {
    const bytes = await fileBytes(join(folder, name));
    const opened = await openPhoto(name, bytes.ok ? bytes.value : new Uint8Array(0), decodePicture);
    if (!opened.ok) return failure(opened.error);
    const { picture, focal, sniffed } = opened.value;
    const looked = lookAt(cv, { name, picture, orientation: sniffed.orientation, focal }, job);
    picture.release?.();
    return looked;
  };
