// The start of every thread of a pool: they do not inherit the loader that lets Node read TypeScript.
import { parentPort, workerData } from 'node:worker_threads';
import { register } from 'tsx/esm/api';

register();
const { answer, handedOver = () => [] } = await import(workerData.entry);
let before = Promise.resolve();
// One after another, in the order of asking. What it throws ends the thread, which is how the pool learns of it.
parentPort.on('message', (question) => {
  before = before
    .then(() => answer(question))
    .then((answered) => parentPort.postMessage(answered, handedOver(answered)));
});
