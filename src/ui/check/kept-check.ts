import * as v from 'valibot';

const FINITE = v.pipe(v.number(), v.finite());
const TEXT = v.pipe(v.string(), v.maxLength(200));

/** Readings of one die by another instrument, beside what photos gave; mm. */
export const KEPT_CHECK = v.object({
  version: v.literal(1),
  /** The die's id and what it was called. */
  die: v.pipe(v.string(), v.maxLength(40)),
  name: TEXT,
  instrument: TEXT,
  /** Expanded uncertainty of the instrument's readings. */
  U95: v.pipe(FINITE, v.minValue(1e-5), v.maxValue(10)),
  /** Milliseconds since 1970. */
  at: v.pipe(v.number(), v.integer(), v.minValue(0)),
  readings: v.pipe(
    v.array(v.object({ axis: TEXT, reading: FINITE, length: FINITE, u: v.pipe(FINITE, v.minValue(0)) })),
    v.minLength(1),
    v.maxLength(40),
  ),
});
export type KeptCheck = v.InferOutput<typeof KEPT_CHECK>;
