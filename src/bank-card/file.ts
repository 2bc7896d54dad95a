import type { Result } from '../result.ts';
import { bankCardBars, type BankCardBars } from './bars.ts';
import type { BankFault } from './messages.ts';
import { withPhoto, type Decode } from '../photo/open.ts';

/** The lengths of a card's check bars from the file of a photo with a bank card on its stage. */
export async function bankCardFile(
  name: string,
  bytes: Uint8Array,
  decode: Decode,
): Promise<Result<BankCardBars, BankFault>> {
  const bars = await withPhoto(name, bytes, decode, ({ picture, focal, sniffed }) =>
    bankCardBars({ name, picture, orientation: sniffed.orientation, focal }),
  );
  return bars.ok ? bars.value : bars;
}
