/**
 * The roll that typed digits mean: as soon as they can become no other number of the die, or at once where `force` is set. Null where they are
 * no number of the die, or may go on.
 *
 * @param names  The die's numbers; the 0 of a ten-sided die may be typed as 10.
 */
export function completeRoll(digits: string, names: readonly string[], force: boolean): string | null {
  const ten = digits === '10' && !names.includes('10') && names.includes('0') ? '0' : null;
  const name = ten ?? (names.includes(digits) ? digits : null);
  if (name === null) return null;
  const goesOn = names.some((other) => other.length > digits.length && other.startsWith(digits));
  return force || !goesOn ? name : null;
}
