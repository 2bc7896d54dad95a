import { spawn } from 'node:child_process';
import { cpSync, existsSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { mutantsOf } from './mutants/mutate.ts';
import { NAMED, TARGETS } from './mutants/targets.ts';

const root = join(import.meta.dirname, '..');
/** What tests need besides their source. */
const COPIED = [
  'src',
  'workers',
  'config',
  'test',
  'samples',
  'public',
  'package.json',
  'vite.config.ts',
  'index.html',
  'tsconfig.base.json',
  'tsconfig.core.json',
  'tsconfig.node.json',
  'tsconfig.json',
  'README.md',
  'DEVELOPERS.md',
  'THIRD-PARTY.md',
  'LICENSE',
];
/** A fault that keeps its tests busy so many times longer than all tests took without any is noticed: it hangs them. */
const PATIENCE = 4;
const LANES = 2;
/** Tests that measure photos: asked only where the others noticed nothing. */
const MEASURING = new Set(['promised', 'measure-samples', 'bad-set', 'bad-stand', 'disturbed']);

interface Trial {
  readonly what: string;
  readonly file: string;
  readonly text: string;
  readonly tests: readonly string[];
}
interface Outcome {
  readonly what: string;
  readonly file: string;
  readonly killed: boolean;
}

function copyOfTree(): string {
  const folder = mkdtempSync(join(tmpdir(), 'evencast-mutants-'));
  for (const name of COPIED)
    if (existsSync(join(root, name))) cpSync(join(root, name), join(folder, name), { recursive: true });
  symlinkSync(join(root, 'node_modules'), join(folder, 'node_modules'));
  return folder;
}

/** Whether the named tests pass in that copy, within so many seconds. Tests that are not there are left out. */
function pass(folder: string, tests: readonly string[], limit = Infinity): Promise<boolean> {
  const files = tests.map((name) => `test/${name}.test.ts`).filter((file) => existsSync(join(folder, file)));
  return new Promise((settle) => {
    const child = spawn(
      'npx',
      [
        '--no-install',
        'vitest',
        'run',
        '--project',
        'node',
        '--maxWorkers=1',
        '--bail',
        '1',
        '--reporter=dot',
        // Goes with the copy: what is kept of faults is of no use to anybody.
        `--experimental.fsModuleCachePath=${join(folder, '.translated')}`,
        ...files,
      ],
      {
        cwd: folder,
        stdio: 'ignore',
        detached: true,
      },
    );
    const end = (): boolean => process.kill(-child.pid!, 'SIGKILL');
    const late = limit === Infinity ? undefined : setTimeout(end, limit * 1000);
    child.on('close', (code) => {
      clearTimeout(late);
      settle(code === 0);
    });
  });
}

async function tried(folder: string, { what, file, text, tests }: Trial, limit: number): Promise<Outcome> {
  const path = join(folder, file);
  const sound = readFileSync(path, 'utf8');
  writeFileSync(path, text);
  const slow = tests.filter((name) => MEASURING.has(name));
  const quick = tests.filter((name) => !MEASURING.has(name));
  const held = (group: readonly string[]): boolean | Promise<boolean> =>
    group.length === 0 || pass(folder, group, limit);
  const killed = !((await held(quick)) && (await held(slow)));
  writeFileSync(path, sound);
  return { what, file, killed };
}

const named = (): Trial[] =>
  NAMED.map(({ name, file, was, is, tests }) => {
    const sound = readFileSync(join(root, file), 'utf8');
    if (!sound.includes(was)) throw new Error(`${file} has no "${was}" any more: mend the list of named faults`);
    return { what: `${name} (${was} -> ${is})`, file, text: sound.replace(was, is), tests };
  });

const drawn = (count: number, seed: number, only: string | undefined): Trial[] =>
  TARGETS.filter(({ file }) => only === undefined || file.includes(only)).flatMap(({ file, tests }, k) =>
    mutantsOf(file, readFileSync(join(root, file), 'utf8'), count, seed + k).map(({ line, was, is, text }) => ({
      what: `${file}:${line} ${was.slice(0, 60)} -> ${is.slice(0, 60)}`,
      file,
      text,
      tests,
    })),
  );

const option = (args: readonly string[], name: string): string | undefined =>
  args.find((a) => a.startsWith(`--${name}=`))?.split('=')[1];

/** `npm run bench -- mutants [--each=12] [--seed=1] [--only=FILE] [--named]`: small faults put into the source, and whether tests notice. */
export async function run(args: readonly string[]): Promise<number> {
  const trials = [
    ...(option(args, 'only') === undefined ? named() : []),
    ...(args.includes('--named')
      ? []
      : drawn(Number(option(args, 'each') ?? 12), Number(option(args, 'seed') ?? 1), option(args, 'only'))),
  ];
  const folders = Array.from({ length: LANES }, copyOfTree);
  try {
    const all = [...new Set(trials.flatMap(({ tests }) => tests))];
    const began = performance.now();
    if (!(await pass(folders[0]!, all))) throw new Error('the tests fail without any fault put in');
    const limit = (PATIENCE * (performance.now() - began)) / 1000;
    const outcomes: Outcome[] = [];
    const waiting = [...trials];
    await Promise.all(
      folders.map(async (folder) => {
        for (let next = waiting.shift(); next !== undefined; next = waiting.shift()) {
          const outcome = await tried(folder, next, limit);
          outcomes.push(outcome);
          process.stdout.write(`${outcome.killed ? 'noticed ' : 'SURVIVED'} ${outcome.what}\n`);
        }
      }),
    );
    const killed = outcomes.filter((o) => o.killed).length;
    for (const file of new Set(outcomes.map((o) => o.file))) {
      const own = outcomes.filter((o) => o.file === file);
      process.stdout.write(`${file}: ${own.filter((o) => o.killed).length} of ${own.length}\n`);
    }
    process.stdout.write(
      `noticed ${killed} of ${outcomes.length} (${Math.round((100 * killed) / outcomes.length)} %)\n`,
    );
    return 0;
  } finally {
    for (const folder of folders) rmSync(folder, { recursive: true, force: true });
  }
}
