import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { thirdPartyNotices } from '../config/third-party.ts';

test('the third-party notices name the packages installed, with their texts', () => {
  const written = readFileSync(join(import.meta.dirname, '../THIRD-PARTY.md'), 'utf8');
  expect(written, 'to renew it: npx tsx config/third-party.ts').toBe(thirdPartyNotices());
});

test('one package alone runs a script when it is installed, and SECURITY.md names it', () => {
  const read = (name: string): string => readFileSync(join(import.meta.dirname, '..', name), 'utf8');
  const { packages } = JSON.parse(read('package-lock.json')) as {
    packages: Record<string, { hasInstallScript?: boolean; integrity?: string }>;
  };
  const scripts = Object.entries(packages).filter(([, { hasInstallScript }]) => hasInstallScript === true);
  expect(scripts.map(([path]) => path)).toEqual(['node_modules/esbuild']);
  expect(read('SECURITY.md')).toContain('one has any: `esbuild`');
  const loose = Object.entries(packages).filter(([path, { integrity }]) => path !== '' && integrity === undefined);
  expect(
    loose.map(([path]) => path),
    'packages without a digest',
  ).toEqual([]);
});
