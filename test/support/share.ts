/** Whether whole tables and long series are asked for: `WHOLE=1 npm test`. The gate takes a share of each. */
export const WHOLE = process.env['WHOLE'] === '1';

/** Of the columns of a long table those that a row looks at: `count` of them, the next row the next ones; all where the whole table is asked for. */
export function shareOf<T>(columns: readonly T[], row: number, count: number): T[] {
  const from = (row * count) % columns.length;
  return WHOLE ? [...columns] : columns.filter((_, i) => (i - from + columns.length) % columns.length < count);
}
