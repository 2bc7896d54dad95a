import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { OutlineCurve } from '../src/geometry/outline.ts';
import { SEGMENT_PX, segmentsOf } from '../src/geometry/segments.ts';

/** An outline of one-pixel steps with these owners; where it lies does not matter here. */
const outline = (ball: readonly number[]): OutlineCurve => ({
  count: ball.length,
  step: 1,
  xy: new Float64Array(2 * ball.length),
  normal: new Float64Array(2 * ball.length),
  ball: Int32Array.from(ball),
});

const owners = fc
  .array(fc.tuple(fc.integer({ min: -1, max: 3 }), fc.integer({ min: 1, max: 40 })), { minLength: 1, maxLength: 12 })
  .map((runs) => runs.flatMap(([ball, length]) => Array.from({ length }, () => ball)));

test('segments follow each other, are long only where the outline is straight, and leave out less than one', () => {
  fc.assert(
    fc.property(owners, (ball) => {
      const { count, middle, of } = segmentsOf(outline(ball));
      for (let s = 0, from = 0; s < count; s++) {
        const length = of.filter((v) => v === s).length;
        expect([SEGMENT_PX.curved, SEGMENT_PX.straight]).toContain(length);
        expect([...of.subarray(from, from + length)]).toEqual(Array.from({ length }, () => s));
        expect(of[middle[s]!]).toBe(s);
        if (length === SEGMENT_PX.straight) expect(ball.slice(from, from + length).every((b) => b < 0)).toBe(true);
        from += length;
      }
      expect(of.filter((v) => v < 0).length).toBeLessThan(SEGMENT_PX.curved);
    }),
  );
});
