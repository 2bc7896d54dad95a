import { expose } from 'comlink';
import { bankCardFile } from '../src/bank-card/file.ts';
import { BANK_PROTOCOL, type BankApi } from './bank-protocol.ts';
import { decode } from './decode.ts';
import { startCv } from './opencv-browser.ts';
import { compileCv } from './opencv-module.ts';

const api: BankApi = {
  protocol: BANK_PROTOCOL,
  async bars({ name, bytes }) {
    const cv = startCv(await compileCv());
    return bankCardFile(cv, name, new Uint8Array(bytes), async () => {
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
