import { failure, success, type Result } from '../result.ts';
import type { Cv } from '../vision/cv.ts';
import type { Picture } from '../vision/picture.ts';
import { bankCardBars, type BankCardBars } from './bars.ts';
import type { BankFault } from './messages.ts';
import { focalPx } from '../photo/exif-focal.ts';
import type { Decode } from '../measure/file-set.ts';
import { sniffImage } from '../photo/sniff.ts';

/** The lengths of a card's check bars from the file of a photo with a bank card on its stage. */
export async function bankCardFile(
  cv: Cv,
  name: string,
  bytes: Uint8Array,
  decode: Decode,
): Promise<Result<BankCardBars, BankFault>> {
  if (bytes.length === 0) return failure({ code: 'no-file', seen: name });
  const sniffed = sniffImage(bytes);
  if (!sniffed.ok) return sniffed;
  const decoded = await decode(bytes).then(success<Picture>, (thrown: unknown) => failure(String(thrown)));
  if (!decoded.ok) return failure({ code: 'unreadable', seen: decoded.error });
  const picture = decoded.value;
  const { orientation, focal35 } = sniffed.value;
  return bankCardBars(cv, { name, picture, orientation, focal: focalPx(focal35, picture.width, picture.height) });
}
