import type { Bench } from './bench.svelte.ts';
import { allowedApart, compared, knownOf, type SelfTestFound } from './known-sample.ts';
import { knownSample, type Sample } from './samples.ts';

const SAMPLE: Sample = 'd6';

/**
 * The page measures the sample that comes with it and compares with what is known: a browser that decodes or computes otherwise is told of. It also makes the machine code
 * that the next photos are measured with.
 */
class SelfTest {
  found = $state.raw<SelfTestFound | null>(null);
  /** How far apart counts as the same, mm. */
  allowed = $state(0);
  #begun = false;

  /** Once a visit; given up for whatever is asked for meanwhile, and where the photos do not come. */
  async run(bench: Bench): Promise<void> {
    if (this.#begun) return;
    this.#begun = true;
    const known = await knownSample(SAMPLE);
    const measured = await bench.sampleUnasked(SAMPLE);
    if (measured === null || known === undefined) return;
    const at = Date.now();
    this.allowed = allowedApart(known);
    this.found = measured.ok ? compared(known, knownOf(measured.value), at) : { at, agrees: false, apart: null };
  }
}

export const selfTest = new SelfTest();
