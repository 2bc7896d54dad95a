import { join } from 'node:path';
import type { Looked } from '../bin/bin-stream.ts';
import { lookAt } from '../bin/look-at.ts';
import type { BinJob } from '../bin/types.ts';
import { withPhoto } from '../photo/open.ts';
import type { Cv } from '../vision/cv.ts';
import { decodePicture } from './decode.ts';
import { fileBytes } from './files.ts';

/** Looks at one photo of a folder: the same in every thread, whatever was looked at before. */
export const photoLooker =
  (cv: Cv, folder: string, job: BinJob) =>
  async (name: string): Promise<Looked> => {
    const bytes = await fileBytes(join(folder, name));
    const file = bytes.ok ? bytes.value : new Uint8Array(0);
    const looked = await withPhoto(name, file, decodePicture, ({ picture, focal, sniffed }) =>
      lookAt(cv, { name, picture, orientation: sniffed.orientation, focal }, job),
    );
    return looked.ok ? looked.value : looked;
  };
