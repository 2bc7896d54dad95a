import { failure, success, type Result } from '../result.ts';

/** One worker, a thread of Node or of a browser, that works on one thing at a time. */
export interface PoolWorker<Question, Answer> {
  /** Rejects where the worker is lost, or throws, before it has answered; it is ended and never asked again then. */
  ask(question: Question): Promise<Answer>;
  /**
   * How many questions may wait at the worker itself while it works on another one, this one being the last, so that it need not stand idle until
   * its answer is heard; where left out none may. The worker answers in the order of asking.
   */
  waitingRoom?(question: Question): number;
  /** Ends it and gives back its memory. */
  end(): void;
}

/** Why a question has no answer: the worker that had it was lost, and so was another; or the pool was closed. */
export interface PoolFailure {
  readonly code: 'worker-stopped';
  readonly detail: string;
}

/** Workers side by side. */
export interface Pool<Question, Answer> {
  /** How many questions are worked on at once. */
  readonly size: number;
  /**
   * Answered by whichever worker is free first, in the order of asking; never rejects. Questions are kept until they are answered: they must
   * not be handed over (transferred).
   */
  ask(question: Question): Promise<Result<Answer, PoolFailure>>;
  /** Ends all workers at once; whatever still waits fails. */
  close(): void;
}

/**
 * How a pool starts its workers where whoever asks is one of them: that one first, then others, and that one again once it was ended.
 *
 * @param own   Works where the pool's caller does.
 * @param turn  Resolves once what others have answered meanwhile was heard: before each piece of its own work, or it would take all that waits.
 */
export function ownFirst<Question, Answer>(
  own: (question: Question) => Promise<Answer>,
  other: () => PoolWorker<Question, Answer>,
  turn: () => Promise<unknown>,
): () => PoolWorker<Question, Answer> {
  let isBusy = false;
  return () => {
    if (isBusy) return other();
    isBusy = true;
    return { ask: (question) => turn().then(() => own(question)), end: () => void (isBusy = false) };
  };
}

/** A question is put to so many workers before it is given up: the loss of one costs one repeat. */
const TRIES = 2;

interface Waiting<Question, Answer> {
  readonly question: Question;
  readonly settle: (answer: Result<Answer, PoolFailure>) => void;
  tries: number;
}

/**
 * A pool of at most `size` workers, each started when there is a question for it.
 *
 * @param start  Starts a worker; called again in place of each that is lost.
 */
export function createPool<Question, Answer>(
  start: () => PoolWorker<Question, Answer>,
  size: number,
): Pool<Question, Answer> {
  type Worker = PoolWorker<Question, Answer>;
  type One = Waiting<Question, Answer>;
  const waiting: One[] = [];
  const idle: Worker[] = [];
  /** What each busy worker works on, and what waits there. */
  const busy = new Map<Worker, One[]>();
  let open = true;
  const stopped = (detail: string): Result<Answer, PoolFailure> => failure({ code: 'worker-stopped', detail });

  const started = (): Worker | null => {
    try {
      return start();
    } catch {
      return null;
    }
  };
  const next = (): void => {
    while (open && waiting.length > 0 && (idle.length > 0 || busy.size < size)) {
      const one = waiting.shift()!;
      const worker = idle.pop() ?? started();
      if (worker === null) one.settle(stopped('no worker can be started'));
      else put(worker, one);
    }
    for (let worker = roomiest(); worker !== null; worker = roomiest()) put(worker, waiting.shift()!);
  };
  /** The busy worker at which what comes next may wait with the fewest before it. */
  const roomiest = (): Worker | null => {
    const question = waiting[0]?.question;
    if (!open || question === undefined) return null;
    let best: Worker | null = null;
    let fewest = Infinity;
    for (const [worker, { length }] of busy) {
      if (length >= fewest || length > (worker.waitingRoom?.(question) ?? 0)) continue;
      best = worker;
      fewest = length;
    }
    return best;
  };
  const put = (worker: Worker, one: One): void => {
    busy.set(worker, [...(busy.get(worker) ?? []), one]);
    worker.ask(one.question).then(
      (answer) => answered(worker, one, answer),
      (thrown: unknown) => lost(worker, one, String(thrown)),
    );
  };
  const answered = (worker: Worker, one: One, answer: Answer): void => {
    const rest = busy.get(worker)?.filter((other) => other !== one);
    if (!open || rest === undefined) return;
    if (rest.length > 0) busy.set(worker, rest);
    else {
      busy.delete(worker);
      idle.push(worker);
    }
    one.settle(success(answer));
    next();
  };
  /** What waited there had no part in it. */
  const lost = (worker: Worker, one: One, detail: string): void => {
    const rest = busy.get(worker)?.filter((other) => other !== one);
    if (!open || rest === undefined) return;
    busy.delete(worker);
    worker.end();
    one.tries++;
    if (one.tries < TRIES) rest.unshift(one);
    else one.settle(stopped(detail));
    waiting.unshift(...rest);
    next();
  };
  return {
    size,
    ask: (question) =>
      new Promise((settle) => {
        if (!open) return settle(stopped('the pool was closed'));
        waiting.push({ question, settle, tries: 0 });
        next();
      }),
    close() {
      open = false;
      for (const worker of [...idle, ...busy.keys()]) worker.end();
      for (const one of [...[...busy.values()].flat(), ...waiting]) one.settle(stopped('the pool was closed'));
    },
  };
}

/**
 * Answers in the order of the questions, however they come in. At most `most` questions are under way or wait for their answer to be fetched: any
 * number of them needs the memory of a few.
 */
export async function* ahead<Question, Answer>(
  questions: Iterable<Question>,
  answer: (question: Question) => Promise<Answer>,
  most: number,
): AsyncGenerator<Answer, void, void> {
  const asked: Promise<Answer>[] = [];
  for (const question of questions) {
    asked.push(answer(question));
    if (asked.length >= most) yield await asked.shift()!;
  }
  for (const one of asked) yield await one;
}

/** The same with the answers of a pool. */
export const inOrder = <Question, Answer>(
  pool: Pool<Question, Answer>,
  questions: Iterable<Question>,
  most: number = 2 * pool.size,
): AsyncGenerator<Result<Answer, PoolFailure>, void, void> => ahead(questions, (question) => pool.ask(question), most);
