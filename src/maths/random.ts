/** A seeded generator of uniform numbers in [0, 1). */
export type Random = () => number;

/**
 * Uniform numbers in [0, 1) with 32 bits each, from a 32-bit seed; the same seed gives the same sequence everywhere.
 *
 * Source: the "mulberry32" mixing function, public domain; period 2^32. Fit for tests and resampling, not for secrets.
 */
export function seededRandom(seed: number): Random {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** Standard normal deviates from uniform ones (Box and Muller 1958; one of the pair is used). */
export function seededNormal(random: Random): () => number {
  return () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}
