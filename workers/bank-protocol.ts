import type { BankCardBars } from '../src/bank-card/bars.ts';
import type { BankFault } from '../src/bank-card/messages.ts';
import type { Result } from '../src/result.ts';
import type { PhotoFile, WorkerApi } from './protocol.ts';

/** Raised with every change of what crosses to the worker that measures a bank card on the printed card. */
export const BANK_PROTOCOL = 1;

/** Apart from the vision worker, which may be at a set of photos meanwhile; ended after each photo, of which nothing is then left. */
export interface BankApi extends WorkerApi {
  /** Measures one photo. Takes `photo.bytes`. */
  bars(photo: PhotoFile): Promise<Result<BankCardBars, BankFault>>;
}
