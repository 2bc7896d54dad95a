import type { InstrumentCheck } from '../../formats/report.ts';
import { day } from '../kit/format.ts';
import { keeper } from '../store/the-bench.ts';
import { KEPT_CHECK } from './kept-check.ts';

/** Readings by other instruments that were kept of a die, as a report states them; the oldest first. */
export async function checksOf(die: string): Promise<InstrumentCheck[]> {
  const kept = await keeper.room('check', KEPT_CHECK).all();
  return kept
    .filter(({ data }) => data.die === die)
    .sort((a, b) => a.data.at - b.data.at)
    .slice(-20)
    .map(({ data: { instrument, U95, at, readings } }) => ({ instrument, U95, date: day(at), readings }));
}
