// Decodes photos beside whoever looks at them: what presses V8 to clear the decoder's buffers away would throw their machine code away too. Pixels go into shared memory, which does not press.
import { setImmediate } from 'node:timers';
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { parentPort, workerData } from 'node:worker_threads';
import sharp from 'sharp';

// One thread decodes one photo; more only pile up memory.
sharp.concurrency(1);
sharp.cache(false);

// The decoder's own buffer of a large photo would stand beside the copy until this small heap is cleared, which nothing presses for.
setFlagsFromString('--expose-gc');
const clear = runInNewContext('gc');

parentPort.on('message', ({ bytes, room }) => {
  void decoded(bytes, room)
    .catch((error) => ({ error }))
    .then((answer) => parentPort.postMessage(answer))
    .then(() => setImmediate(clear));
});

async function decoded(bytes, room) {
  // The decoder's own head counts: a file may hold two.
  const { data, info } = await sharp(bytes, { failOn: 'truncated', limitInputPixels: workerData.data.pixels })
    .rotate()
    .toColourspace('srgb')
    .removeAlpha()
    .raw({ depth: 'uchar' })
    .toBuffer({ resolveWithObject: true });
  const fits = room !== null && room.byteLength >= data.length;
  const pixels = new Uint8Array(fits ? room : new SharedArrayBuffer(data.length), 0, data.length);
  pixels.set(data);
  return { picture: { width: info.width, height: info.height, channels: 3, data: pixels } };
}
