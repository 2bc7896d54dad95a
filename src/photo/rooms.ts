/** Rooms kept: of two photos in hand one is decoded while the other is looked at. */
const KEPT = 2;

/**
 * Memory of pictures that nobody looks at any more, for those to come: a picture's pixels lie outside the heap, and what presses V8 to clear them away throws the
 * machine code of whatever closures lived at the time away with them.
 */
export class Rooms<Room extends { readonly byteLength: number }> {
  readonly #free: Room[] = [];

  /** One of so many bytes or more; null where none is free. */
  take(bytes: number): Room | null {
    const at = this.#free.findIndex(({ byteLength }) => byteLength >= bytes);
    return at < 0 ? null : this.#free.splice(at, 1)[0]!;
  }

  give(room: Room): void {
    this.#free.push(room);
    this.#free.sort((a, b) => b.byteLength - a.byteLength).splice(KEPT);
  }

  clear(): void {
    this.#free.length = 0;
  }
}
