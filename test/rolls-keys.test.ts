import { describe, expect, test } from 'vitest';
import { dieNames } from '../src/bias/log/roll-log.ts';
import { completeRoll } from '../src/ui/rolls/tally-keys.ts';

/** The rolls that keys typed one after the other give, Enter written as "/". */
function rolls(keys: string, names: readonly string[]): string[] {
  const out: string[] = [];
  let typed = '';
  for (const key of keys) {
    if (key !== '/') typed += key;
    const roll = completeRoll(typed, names, key === '/');
    if (roll === null) continue;
    out.push(roll);
    typed = '';
  }
  return typed === '' ? out : [...out, `${typed}?`];
}

describe('rolls by number keys', () => {
  test.each([
    ['d6', '1625', ['1', '6', '2', '5']],
    ['d20', '3917', ['3', '9', '17']],
    ['d20', '1/2/20', ['1', '2', '20']],
    ['d20', '1120', ['11', '20']],
    ['d12', '2103', ['2', '10', '3']],
    ['d10', '0937', ['0', '9', '3', '7']],
    ['d100', '304000', ['30', '40', '00']],
  ] as const)('%s: %s', (die, keys, expected) => {
    expect(rolls(keys, dieNames(die))).toEqual(expected);
  });
  test('digits that are no number of the die stay where they are', () => {
    expect(rolls('7', dieNames('d6'))).toEqual(['7?']);
    expect(completeRoll('', dieNames('d6'), true)).toBeNull();
    expect(completeRoll('21', dieNames('d20'), true)).toBeNull();
  });
  test('a ten typed in full is the 0 of a ten-sided die', () => {
    expect(completeRoll('10', ['0', '1', '2', '3', '4', '5', '6', '7', '8', '9'], true)).toBe('0');
  });
});
