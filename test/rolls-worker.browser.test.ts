import { describe, expect, test } from 'vitest';
import { trueShape } from '../src/bias/die/die-shape.ts';
import { BLOCK, throwBlock } from '../src/bias/throws/throw-blocks.ts';
import { throwBody, type ThrowBody } from '../src/bias/throws/throw-body.ts';
import { runThrows, type ThrowPlan } from '../src/bias/throw-run.ts';
import { success } from '../src/result.ts';
import { rollsPool } from '../src/ui/rolls/rolls-client.ts';

const body = ((): ThrowBody => {
  const made = throwBody(trueShape('d20'));
  if (!made.ok) throw new Error(made.error.code);
  return made.value;
})();
const plan: ThrowPlan = { table: 'felt', seed: 4, throws: 4 * BLOCK, precision: null };

describe('throwing workers', () => {
  test('give what this thread gives, whatever their number', async () => {
    const here = await runThrows(body, plan, [async (b, t, s, i) => success(throwBlock(b, t, s, i))]);
    for (const size of [1, 3]) {
      const pool = rollsPool(undefined, size);
      try {
        expect(await runThrows(body, plan, pool.throwers)).toEqual(here);
      } finally {
        pool.dispose();
      }
    }
  });

  test('end at once when they are cancelled, and start again', async () => {
    const stop = new AbortController();
    const cancelled = rollsPool(stop.signal, 2);
    const run = await runThrows(body, { ...plan, throws: 4000 * BLOCK }, cancelled.throwers, () => stop.abort());
    expect(run).toEqual({ ok: false, error: { code: 'cancelled' } });
    const fresh = rollsPool(undefined, 1);
    const again = await runThrows(body, { ...plan, throws: BLOCK }, fresh.throwers);
    fresh.dispose();
    expect(again.ok && again.value.throws).toBe(BLOCK);
  });
});
