import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { thirdPartyNotices } from '../config/third-party.ts';

test('the third-party notices name the packages installed, with their texts', () => {
  const written = readFileSync(join(import.meta.dirname, '../THIRD-PARTY.md'), 'utf8');
  expect(written, 'to renew it: npx tsx config/third-party.ts').toBe(thirdPartyNotices());
});
