import type { BinPhoto } from './types.ts';
import type { Bin } from './bin.ts';
import { withPhoto, type Decode } from '../photo/open.ts';

/** From a file to its verdicts: what the page and the command line share. An empty file is one that is not there. */
export async function addBinFile(
  bin: Bin,
  name: string,
  bytes: Uint8Array<ArrayBuffer>,
  decode: Decode<Uint8Array<ArrayBuffer>>,
): Promise<BinPhoto> {
  const photo = await withPhoto(name, bytes, decode, ({ picture, focal, sniffed }) =>
    bin.addPhoto({ name, picture, orientation: sniffed.orientation, focal }),
  );
  return photo.ok ? photo.value : bin.refuse(name, photo.error);
}
