import { failure, success } from '../result.ts';
import type { Picture } from '../vision/picture.ts';
import type { BinPhoto } from './types.ts';
import type { Bin } from './bin.ts';
import { focalPx } from '../photo/exif-focal.ts';
import { sniffImage } from '../photo/sniff.ts';

/** From a file to its verdicts: what the page and the command line share. An empty file is one that is not there. */
export async function addBinFile(
  bin: Bin,
  name: string,
  bytes: Uint8Array<ArrayBuffer>,
  decode: (bytes: Uint8Array<ArrayBuffer>) => Promise<Picture>,
): Promise<BinPhoto> {
  if (bytes.length === 0) return bin.refuse(name, { code: 'no-file', seen: name });
  const sniffed = sniffImage(bytes);
  if (!sniffed.ok) return bin.refuse(name, sniffed.error);
  const decoded = await decode(bytes).then(success<Picture>, (thrown: unknown) => failure(String(thrown)));
  if (!decoded.ok) return bin.refuse(name, { code: 'unreadable', seen: decoded.error });
  const { width, height } = decoded.value;
  const { focal35, orientation } = sniffed.value;
  return bin.addPhoto({ name, picture: decoded.value, orientation, focal: focalPx(focal35, width, height) });
}
