/** Where two values of the same make differ by more than `tolerance`, relative to 1 or to their size; empty where nowhere. */
export function differences(a: unknown, b: unknown, tolerance: number, path = ''): string[] {
  if (typeof a === 'number' && typeof b === 'number')
    return Math.abs(a - b) <= tolerance * Math.max(1, Math.abs(a)) ? [] : [`${path}: ${a} and ${b}`];
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null)
    return a === b ? [] : [`${path}: ${String(a)} and ${String(b)}`];
  const keys = [...new Set([...Object.keys(a), ...Object.keys(b)])];
  return keys.flatMap((key) =>
    differences((a as Record<string, unknown>)[key], (b as Record<string, unknown>)[key], tolerance, `${path}/${key}`),
  );
}
