interface Waiter<Answer> {
  readonly resolve: (answer: Answer) => void;
  readonly reject: (why: Error) => void;
}

/** The answers of a worker that gives them in the order of the questions. */
export class Awaited<Answer> {
  #waiters: Waiter<Answer>[] = [];
  #lost: Error | null = null;

  /** How many answers are to come. */
  get size(): number {
    return this.#waiters.length;
  }

  /** The answer to the question that is put now. */
  next(): Promise<Answer> {
    if (this.#lost !== null) return Promise.reject(this.#lost);
    return new Promise((resolve, reject) => this.#waiters.push({ resolve, reject }));
  }

  answered(answer: Answer): void {
    this.#waiters.shift()?.resolve(answer);
  }

  /** None comes any more; the question that is oldest hears of it first. */
  lost(why: Error): void {
    this.#lost ??= why;
    const lost = this.#waiters;
    this.#waiters = [];
    for (const { reject } of lost) reject(why);
  }
}
