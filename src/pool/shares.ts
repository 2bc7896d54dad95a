/** Shares of something that several take for a while: who asks for more than is left waits for those before, and who asks for more than all of it until it is alone. */
export class Shares {
  readonly #all: number;
  #taken = 0;
  readonly #waiting: { readonly share: number; readonly enter: () => void }[] = [];

  constructor(all: number) {
    this.#all = all;
  }

  /** Does some work with a share, in the order of asking. */
  async with<T>(asked: number, work: () => Promise<T>): Promise<T> {
    const share = Math.min(this.#all, asked);
    await new Promise<void>((enter) => {
      this.#waiting.push({ share, enter });
      this.#next();
    });
    try {
      return await work();
    } finally {
      this.#taken -= share;
      this.#next();
    }
  }

  #next(): void {
    for (let first = this.#waiting[0]; first && this.#taken + first.share <= this.#all; first = this.#waiting[0]) {
      this.#taken += first.share;
      this.#waiting.shift();
      first.enter();
    }
  }
}
