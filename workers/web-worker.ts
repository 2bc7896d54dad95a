import type { PoolWorker } from '../src/pool/pool.ts';

/** What crosses back: the answer, or why there is none. */
type Reply<Answer> = { readonly answer: Answer } | { readonly failed: string };

/** A browser's worker as a pool's; its other side is {@link answering}. */
export function webWorker<Question, Answer>(start: () => Worker): PoolWorker<Question, Answer> {
  const worker = start();
  return {
    ask: (question) =>
      new Promise((resolve, reject) => {
        worker.onmessage = ({ data }: MessageEvent<Reply<Answer>>) =>
          'failed' in data ? reject(new Error(data.failed)) : resolve(data.answer);
        worker.onerror = (event) => {
          event.preventDefault();
          reject(new Error(event.message || 'it could not be loaded'));
        };
        worker.onmessageerror = () => reject(new Error('its answer could not be read'));
        worker.postMessage(question);
      }),
    end: () => worker.terminate(),
  };
}

/**
 * Serves a pool from inside a worker.
 *
 * @param handedOver  What of an answer is handed over instead of copied.
 */
export function answering<Question, Answer>(
  answer: (question: Question) => Answer | Promise<Answer>,
  handedOver: (answer: Answer) => Transferable[] = () => [],
): void {
  const reply = (message: Reply<Answer>, transfer: Transferable[]): void => postMessage(message, { transfer });
  addEventListener('message', ({ data }: MessageEvent<Question>) => {
    Promise.resolve(data)
      .then(answer)
      .then((found) => reply({ answer: found }, handedOver(found)))
      .catch((thrown: unknown) => reply({ failed: String(thrown) }, []));
  });
  addEventListener('messageerror', () => reply({ failed: 'a question could not be read' }, []));
}
