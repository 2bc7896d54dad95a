import { expose } from 'comlink';
import { bankCardFile } from '../src/bank-card/file.ts';
import { BANK_PROTOCOL, type BankApi } from './bank-protocol.ts';
import { decode } from './decode.ts';

const api: BankApi = {
  protocol: BANK_PROTOCOL,
  async bars({ name, bytes }) {
    return bankCardFile(name, new Uint8Array(bytes), async () => {
      const { picture, thumbnail } = await decode(new Uint8Array(bytes));
      thumbnail.close();
      return picture;
    });
  },
};

// A message that cannot be read would leave its sender waiting: let it end this worker instead.
addEventListener('messageerror', () => {
  throw new Error('a message to the worker could not be read');
});
expose(api);
