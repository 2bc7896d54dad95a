import { spawnSync } from 'node:child_process';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { vi } from 'vitest';
import { runCommand } from '../../src/cli/commands.ts';

const root = join(import.meta.dirname, '../..');
/** Node's arguments that start the command line as `npm run evencast` does, without a process in between. */
export const START: readonly string[] = [
  '--import',
  pathToFileURL(createRequire(import.meta.url).resolve('tsx')).href,
  join(root, 'src/cli/main.ts'),
];

export interface Ran {
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** A command in a process of its own, as a person starts it: for what a start, a stream or an end of the process is about. */
export const started = (...args: readonly string[]): Ran =>
  spawnSync(process.execPath, [...START, ...args], { cwd: root, encoding: 'utf8', timeout: 200_000, maxBuffer: 1e8 });

/** The same command in this process: arguments, words, files and exit code are those of {@link started}, without the wait for a start. */
export async function evencast(...args: readonly string[]): Promise<Ran> {
  const said = { stdout: '', stderr: '' };
  for (const stream of ['stdout', 'stderr'] as const)
    vi.spyOn(process[stream], 'write').mockImplementation((text: string | Uint8Array, taken?: unknown) => {
      said[stream] += typeof text === 'string' ? text : Buffer.from(text).toString('latin1');
      if (typeof taken === 'function') (taken as () => void)();
      return true;
    });
  try {
    const status = await runCommand(args);
    return { status, ...said };
  } finally {
    vi.restoreAllMocks();
  }
}
