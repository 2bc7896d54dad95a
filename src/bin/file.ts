import type { BinPhoto } from './types.ts';
import type { Bin } from './bin.ts';
import { openPhoto, type Decode } from '../photo/open.ts';

/** From a file to its verdicts: what the page and the command line share. An empty file is one that is not there. */
export async function addBinFile(
  bin: Bin,
  name: string,
  bytes: Uint8Array<ArrayBuffer>,
  decode: Decode<Uint8Array<ArrayBuffer>>,
): Promise<BinPhoto> {
  const opened = await openPhoto(name, bytes, decode);
  if (!opened.ok) return bin.refuse(name, opened.error);
  const { picture, focal, sniffed } = opened.value;
  const photo = bin.addPhoto({ name, picture, orientation: sniffed.orientation, focal });
  picture.release?.();
  return photo;
}
