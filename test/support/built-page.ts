import { createHash } from 'node:crypto';
import { cp, mkdir, mkdtemp, readdir, readFile, rename, rm, stat } from 'node:fs/promises';
import { join, relative } from 'node:path';
import { build } from 'vite';

const root = join(import.meta.dirname, '../..');
/** What the built page is made of. */
const MADE_OF = [
  'src',
  'workers',
  'public',
  'samples',
  'config',
  'index.html',
  'vite.config.ts',
  'package-lock.json',
  'tsconfig.base.json',
  'tsconfig.json',
];
/** Builds of this checkout, by a digest of what they are made of. */
const BUILDS = join(root, 'node_modules/.cache/evencast-page');
/** So many builds are left lying: this one, and that of the version to compare with. */
const KEPT = 2;
/** A build takes some seconds; one that has not ended after so many milliseconds never will. */
const PATIENCE = 180_000;

/** Builds the page into a folder as `npm run build` does: a test runner's own NODE_ENV would leave development code in it. */
async function buildPage(outDir: string): Promise<void> {
  const before = process.env['NODE_ENV'];
  process.env['NODE_ENV'] = 'production';
  try {
    await build({ root, mode: 'production', logLevel: 'silent', build: { outDir, emptyOutDir: true } });
  } finally {
    process.env['NODE_ENV'] = before;
  }
}

async function digest(): Promise<string> {
  const hash = createHash('sha256');
  for (const name of MADE_OF) {
    const path = join(root, name);
    const files = (await stat(path)).isFile()
      ? [path]
      : (await readdir(path, { recursive: true, withFileTypes: true }))
          .filter((entry) => entry.isFile())
          .map((entry) => join(entry.parentPath, entry.name))
          .sort();
    for (const file of files) {
      const content = await readFile(file);
      hash.update(`${relative(root, file)}\0${content.length}\0`).update(content);
    }
  }
  return hash.digest('hex').slice(0, 24);
}

const isThere = (path: string): Promise<boolean> =>
  stat(path).then(
    () => true,
    () => false,
  );

/** A folder with the page as `npm run build` makes it, built once for all that ask while nothing of it changes. Nobody may write into it. */
export async function builtPage(): Promise<string> {
  await mkdir(BUILDS, { recursive: true });
  const folder = join(BUILDS, await digest());
  const lock = `${folder}.lock`;
  const until = Date.now() + PATIENCE;
  // Test files ask at the same time: one builds, the others wait for it.
  while (
    !(await isThere(folder)) &&
    !(await mkdir(lock).then(
      () => true,
      () => false,
    ))
  ) {
    if (Date.now() > until) await rm(lock, { recursive: true, force: true });
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  if (await isThere(folder)) return folder;
  try {
    const made = await mkdtemp(join(BUILDS, 'made-'));
    await buildPage(made);
    await rename(made, folder);
    await leaveFew();
  } finally {
    await rm(lock, { recursive: true, force: true });
  }
  return folder;
}

async function leaveFew(): Promise<void> {
  const builds = (await readdir(BUILDS)).filter((name) => /^[0-9a-f]+$/.test(name)).map((name) => join(BUILDS, name));
  const ages = await Promise.all(builds.map(async (path) => ({ path, made: (await stat(path)).mtimeMs })));
  for (const { path } of ages.sort((a, b) => b.made - a.made).slice(KEPT))
    await rm(path, { recursive: true, force: true });
}

/** A copy of the built page that may be changed. */
export async function builtPageIn(folder: string): Promise<void> {
  await cp(await builtPage(), folder, { recursive: true });
}
