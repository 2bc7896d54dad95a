/** Numbers that differ by less than this share are the same: engines round the last digit differently. */
const SAME = 1e-9;

/** Where two values differ, as lines "path: a, b"; at most `most` of them. */
export function differences(a: unknown, b: unknown, path = '', most = 12): string[] {
  const out: string[] = [];
  collect(a, b, path, out, most);
  return out;
}

function collect(a: unknown, b: unknown, path: string, out: string[], most: number): void {
  if (out.length >= most || Object.is(a, b)) return;
  if (typeof a === 'number' && typeof b === 'number') {
    if (Math.abs(a - b) > SAME * Math.max(Math.abs(a), Math.abs(b)) + 1e-15) out.push(`${path}: ${a}, ${b}`);
    return;
  }
  if (typeof a === 'object' && typeof b === 'object' && a !== null && b !== null) {
    const [x, y] = [a as Record<string, unknown>, b as Record<string, unknown>];
    const keys = new Set([...Object.keys(x), ...Object.keys(y)]);
    for (const key of keys) {
      const next = Array.isArray(a) ? `${path}[${key}]` : path === '' ? key : `${path}.${key}`;
      collect(Object.hasOwn(x, key) ? x[key] : undefined, Object.hasOwn(y, key) ? y[key] : undefined, next, out, most);
    }
    return;
  }
  out.push(`${path}: ${told(a)}, ${told(b)}`);
}

const told = (v: unknown): string => (JSON.stringify(v) ?? 'nothing').slice(0, 80);
