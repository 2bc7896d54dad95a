import { expose } from 'comlink';
import { throwBlock } from '../src/bias/throws/throw-blocks.ts';
import { ROLLS_PROTOCOL, type RollsApi } from './rolls-protocol.ts';

const api: RollsApi = {
  protocol: ROLLS_PROTOCOL,
  throwBlock: (body, table, seed, index) => Promise.resolve(throwBlock(body, table, seed, index)),
};

// A message that cannot be read would leave its sender waiting: let it end this worker instead.
addEventListener('messageerror', () => {
  throw new Error('a message to the worker could not be read');
});
expose(api);
