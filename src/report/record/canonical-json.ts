/**
 * One text per value, whatever order its keys were written in: keys sorted by UTF-16 code units, no spaces, numbers and strings as
 * ECMAScript writes them (RFC 8785, JSON Canonicalization Scheme).
 *
 * @throws {RangeError}  If a number is not finite: JSON has no word for it.
 */
export function canonicalJson(value: unknown): string {
  if (typeof value === 'number' && !Number.isFinite(value)) throw new RangeError(`${value} has no JSON`);
  if (Array.isArray(value)) return `[${value.map((v) => canonicalJson(v ?? null)).join(',')}]`;
  if (typeof value === 'object' && value !== null) {
    const entries = Object.entries(value).filter(([, v]) => v !== undefined);
    entries.sort(([a], [b]) => (a < b ? -1 : 1));
    return `{${entries.map(([k, v]) => `${JSON.stringify(k)}:${canonicalJson(v)}`).join(',')}}`;
  }
  return JSON.stringify(value ?? null);
}
