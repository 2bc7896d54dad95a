import { Awaited } from '../src/pool/awaited.ts';
import type { PoolWorker } from '../src/pool/pool.ts';

/** What crosses back: the answer, or why there is none. */
type Reply<Answer> = { readonly answer: Answer } | { readonly failed: string };

/** A browser's worker as a pool's; its other side is {@link answering}. */
export function webWorker<Question, Answer>(start: () => Worker): PoolWorker<Question, Answer> {
  const worker = start();
  const awaited = new Awaited<Answer>();
  worker.onmessage = ({ data }: MessageEvent<Reply<Answer>>) =>
    'failed' in data ? awaited.lost(new Error(data.failed)) : awaited.answered(data.answer);
  worker.onerror = (event) => {
    event.preventDefault();
    awaited.lost(new Error(event.message || 'it could not be loaded'));
  };
  worker.onmessageerror = () => awaited.lost(new Error('its answer could not be read'));
  return {
    ask(question) {
      const answer = awaited.next();
      worker.postMessage(question);
      return answer;
    },
    end: () => worker.terminate(),
  };
}

/**
 * Serves a pool from inside a worker: one question after another, in the order of asking.
 *
 * @param handedOver  What of an answer is handed over instead of copied.
 */
export function answering<Question, Answer>(
  answer: (question: Question) => Answer | Promise<Answer>,
  handedOver: (answer: Answer) => Transferable[] = () => [],
): void {
  const reply = (message: Reply<Answer>, transfer: Transferable[]): void => postMessage(message, { transfer });
  let before = Promise.resolve();
  addEventListener('message', ({ data }: MessageEvent<Question>) => {
    before = before
      .then(() => answer(data))
      .then((found) => reply({ answer: found }, handedOver(found)))
      .catch((thrown: unknown) => reply({ failed: String(thrown) }, []));
  });
  addEventListener('messageerror', () => reply({ failed: 'a question could not be read' }, []));
}
