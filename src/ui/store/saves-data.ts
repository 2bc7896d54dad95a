/** What browsers of some makers tell of the line. */
interface Connection {
  readonly saveData?: boolean;
  readonly effectiveType?: string;
}

/** Whether nothing is to be fetched that was not asked for: the person saves data, or the line is slow. */
export function savesData(): boolean {
  const { connection = {} } = navigator as { connection?: Connection };
  const { saveData = false, effectiveType = '4g' } = connection;
  return saveData || effectiveType !== '4g' || matchMedia('(prefers-reduced-data: reduce)').matches;
}
