import { createHash } from 'node:crypto';
import { cp, mkdir, mkdtemp, readdir, readFile, rename, rm, stat, writeFile } from 'node:fs/promises';
import { basename, dirname, join, relative } from 'node:path';
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

/**
 * What is at `path`, made by `make` where it is not there yet: once for all test files that ask, at the same time too.
 *
 * @param make  Makes it at another place beside, which is given; it is put in its own when it is whole.
 */
async function madeOnce(path: string, make: (at: string) => Promise<void>): Promise<string> {
  await mkdir(BUILDS, { recursive: true });
  const lock = `${path}.lock`;
  const until = Date.now() + PATIENCE;
  // One makes it, the others wait for it.
  while (
    !(await isThere(path)) &&
    !(await mkdir(lock).then(
      () => true,
      () => false,
    ))
  ) {
    if (Date.now() > until) await rm(lock, { recursive: true, force: true });
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  if (await isThere(path)) return path;
  try {
    const made = join(await mkdtemp(join(BUILDS, 'made-')), 'it');
    await make(made);
    await rename(made, path);
    await rm(dirname(made), { recursive: true });
  } finally {
    await rm(lock, { recursive: true, force: true });
  }
  return path;
}

/** A folder with the page as `npm run build` makes it, built once while nothing of it changes. Nobody may write into it. */
export async function builtPage(): Promise<string> {
  return madeOnce(join(BUILDS, await digest()), async (at) => {
    await buildPage(at);
    await leaveFew();
  });
}

/** A file that a built page made, such as a die that it measured: made once as long as that build serves. */
export const madeByPage = (built: string, name: string, make: () => Promise<Uint8Array>): Promise<string> =>
  madeOnce(`${built}-${name}`, async (at) => writeFile(at, await make()));

async function leaveFew(): Promise<void> {
  const builds = (await readdir(BUILDS)).filter((name) => /^[0-9a-f]+$/.test(name)).map((name) => join(BUILDS, name));
  const ages = await Promise.all(builds.map(async (path) => ({ path, made: (await stat(path)).mtimeMs })));
  for (const { path } of ages.sort((a, b) => b.made - a.made).slice(KEPT))
    for (const name of await readdir(BUILDS))
      if (name.startsWith(basename(path))) await rm(join(BUILDS, name), { recursive: true, force: true });
}

/** A copy of the built page that may be changed. */
export async function builtPageIn(folder: string): Promise<void> {
  await cp(await builtPage(), folder, { recursive: true });
}
