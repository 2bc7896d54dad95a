import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { expect, test } from 'vitest';

const root = join(import.meta.dirname, '..');
const pages = [
  'README.md',
  'DEVELOPERS.md',
  'SECURITY.md',
  ...readdirSync(join(root, 'src'), { recursive: true, encoding: 'utf8' })
    .filter((file) => file.endsWith('README.md'))
    .map((file) => join('src', file)),
];

/** Whether a path that a page names is there: from the project, from `src` or `test`, or from the page's own folder; with its ending or without. */
const isThere = (page: string, path: string): boolean =>
  ['', 'src', 'test', dirname(page)].some((from) =>
    ['', '.ts'].some((end) => existsSync(join(root, from, path + end))),
  );

/** Paths of files and folders that a page sets as code. */
const pathsIn = (text: string): string[] => [...text.matchAll(/`([\w.-]+(?:\/[\w.-]+)+)`/g)].map(([, path]) => path!);

test.each(pages)('%s names files and folders that are there', (page) => {
  const named = pathsIn(readFileSync(join(root, page), 'utf8'));
  expect(named.filter((path) => !isThere(page, path))).toEqual([]);
});

test('a path that is not there would be seen', () => {
  expect(pathsIn('see `src/maths/linear.ts` and `parts/Nowhere.svelte`, not `npm run x`')).toEqual([
    'src/maths/linear.ts',
    'parts/Nowhere.svelte',
  ]);
  expect(isThere('README.md', 'parts/Nowhere.svelte')).toBe(false);
});
