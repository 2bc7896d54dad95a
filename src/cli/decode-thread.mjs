// Decodes photos beside whoever looks at them: what presses V8 to clear the decoder's buffers away would throw their machine code away too. Pixels go into shared memory, which does not press.
import { setImmediate } from 'node:timers';
import { getHeapStatistics, setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { parentPort, workerData } from 'node:worker_threads';
import sharp from 'sharp';

// One thread decodes one photo; more only pile up memory.
sharp.concurrency(1);
sharp.cache(false);

// The decoder's own buffers would stand beside the copies until this small heap is cleared, which nothing presses for. Clearing what is new in it takes a thirtieth
// of what decoding 3 MP does and frees them as a rule: the next photo finds its pages there (8 MP 34.5 -> 30.5 ms of processor time). Clearing all of it takes a third.
setFlagsFromString('--expose-gc');
const clear = runInNewContext('gc');
/** Bytes of such buffers that may be left uncleared: two photos of 8 MP, none of 20 or more. */
const UNCLEARED = 60e6;

parentPort.on('message', ({ bytes, room }) => {
  void decoded(bytes, room)
    .catch((error) => ({ error }))
    .then((answer) => parentPort.postMessage(answer))
    .then(() => setImmediate(clearAway));
});

function clearAway() {
  clear({ type: 'minor' });
  if (getHeapStatistics().external_memory > UNCLEARED) clear();
}

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
