// Decodes photos beside whoever looks at them: what presses V8 to clear the decoder's buffers away would throw their machine code away too. Pixels go into shared memory, which does not press.
import { setImmediate } from 'node:timers';
import { parentPort, workerData } from 'node:worker_threads';
import { clearAway, decoded } from './decoded.mjs';

parentPort.on('message', ({ bytes, room }) => {
  void shared(bytes, room)
    .catch((error) => ({ error }))
    .then((answer) => parentPort.postMessage(answer))
    .then(() => setImmediate(clearAway));
});

async function shared(bytes, room) {
  const { data, ...picture } = await decoded(bytes, workerData.data.pixels);
  const fits = room !== null && room.byteLength >= data.length;
  const pixels = new Uint8Array(fits ? room : new SharedArrayBuffer(data.length), 0, data.length);
  pixels.set(data);
  return { picture: { ...picture, data: pixels } };
}
