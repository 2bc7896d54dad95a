import type { InstrumentCheck } from '../../formats/report.ts';
import { keeper } from '../store/the-bench.ts';
import { KEPT_CHECK } from './kept-check.ts';

const pad = (n: number): string => String(n).padStart(2, '0');
/** The day of a moment as the person's calendar has it, YYYY-MM-DD. */
function day(ms: number): string {
  const date = new Date(ms);
  return `${date.getFullYear()}-${pad(date.getMonth() + 1)}-${pad(date.getDate())}`;
}

/** Readings by other instruments that were kept of a die, as a report states them; the oldest first. */
export async function checksOf(die: string): Promise<InstrumentCheck[]> {
  const kept = await keeper.room('check', KEPT_CHECK).all();
  return kept
    .filter(({ data }) => data.die === die)
    .sort((a, b) => a.data.at - b.data.at)
    .slice(-20)
    .map(({ data: { instrument, U95, at, readings } }) => ({ instrument, U95, date: day(at), readings }));
}
