import { spawnSync } from 'node:child_process';
import { readdirSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';

/**
 * Checks types: `npx tsx config/check-types.ts [core] [node] [components]`, all where none is named. The compiler is the native one; the
 * other TypeScript serves the tools that need a compiler's parts.
 */
const root = join(import.meta.dirname, '..');
const resolve = createRequire(import.meta.url).resolve;
const compiler = join(dirname(resolve('@typescript/native/package.json')), 'bin/tsc');
/** Where `svelte-check --tsgo` leaves components as TypeScript. */
const TRANSLATED = '.svelte-check';

const run = (...args: readonly string[]): boolean =>
  spawnSync(process.execPath, args, { cwd: root, stdio: 'inherit' }).status === 0;
/** A package's command, started without npx. */
const bin = (name: string): string => join(root, 'node_modules', name, 'bin', name);

/** Types of components, then the promises in them, which oxlint sees in what the first step made of them. */
function components(): boolean {
  // What it made of a component that is gone since would be looked at for ever.
  rmSync(join(root, TRANSLATED), { recursive: true, force: true });
  if (!run(bin('svelte-check'), '--tsconfig', './tsconfig.json', '--tsgo', '--fail-on-warnings', '--output', 'human'))
    return false;
  const files = readdirSync(join(root, TRANSLATED), { recursive: true, encoding: 'utf8' });
  const translated = files
    .filter((file) => /\+\+[^/\\]*\.svelte\.ts$/.test(file))
    .map((file) => join(TRANSLATED, file));
  if (translated.length === 0) throw new Error('svelte-check left no components to look at');
  return run(bin('oxlint'), '--type-aware', '--no-ignore', '--tsconfig', `${TRANSLATED}/tsconfig.json`, ...translated);
}

const PARTS: Readonly<Record<string, () => boolean>> = {
  core: () => run(compiler, '-p', 'tsconfig.core.json'),
  node: () => run(compiler, '-p', 'tsconfig.node.json'),
  components,
};

const asked = process.argv.slice(2);
const good = (asked.length > 0 ? asked : Object.keys(PARTS)).map((part) => PARTS[part]!());
process.exitCode = good.every(Boolean) ? 0 : 1;
