/**
 * Random numbers of one throw, from (seed, number of the throw) alone: throw 1000 is the same whoever makes it and in whatever
 * order. Only integer arithmetic, sums and square roots: the same bits in every engine.
 *
 * Source: the sfc32 generator (C. Doty-Humphrey, PractRand, public domain), its state filled by a multiplicative hash.
 */
export class ThrowRandom {
  private a = 0;
  private b = 0;
  private c = 0;
  private d = 0;

  /** Starts throw `index` of the run with this seed; both are 32-bit integers. */
  start(seed: number, index: number): void {
    let h = seed ^ Math.imul(index ^ (index >>> 16), 0x45d9f3b);
    h = Math.imul(h ^ (h >>> 15), 0x2c1b3c6d);
    this.a = h ^ (h >>> 12);
    this.b = index | 0;
    this.c = seed | 0;
    this.d = 1;
    for (let i = 0; i < 12; i++) this.bits();
  }

  /** 32 random bits as a signed integer. */
  bits(): number {
    const t = (((this.a + this.b) | 0) + this.d) | 0;
    this.d = (this.d + 1) | 0;
    this.a = this.b ^ (this.b >>> 9);
    this.b = (this.c + (this.c << 3)) | 0;
    this.c = (this.c << 21) | (this.c >>> 11);
    this.c = (this.c + t) | 0;
    return t;
  }

  /** Evenly between 0 and 1, ends excluded. */
  uniform(): number {
    return ((this.bits() >>> 0) + 0.5) / 4294967296;
  }

  /** Evenly between -1 and 1. */
  signed(): number {
    return (this.bits() + 0.5) / 2147483648;
  }

  /** Close to a standard normal deviate, never beyond 6: the sum of twelve even ones (no logarithm, which engines round differently). */
  bell(): number {
    let s = 0;
    for (let i = 0; i < 6; i++) {
      const t = this.bits();
      s += (t & 0xffff) + (t >>> 16);
    }
    return (s + 6) / 65536 - 6;
  }
}
