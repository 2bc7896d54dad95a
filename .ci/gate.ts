/** The whole gate, cheap checks first. The last line counts checks and tests: "N passed, N failed". */
import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { findChromium, HOW_TO_GET_CHROMIUM, installChromiumInCi } from '../config/chromium.ts';

interface Count {
  readonly passed: number;
  readonly failed: number;
}

/** Run two at a time, longest first. */
const CHECKS: readonly (readonly string[])[] = [
  ['eslint', '--max-warnings', '0', '.'],
  ['prettier', '--check', '--log-level', 'warn', '.'],
  ['tsc', '-p', 'tsconfig.core.json'],
  ['tsc', '-p', 'tsconfig.node.json'],
  ['svelte-check', '--tsconfig', './tsconfig.json', '--fail-on-warnings', '--output', 'human'],
];

/** Files at a time: much of a test in Node waits for a browser or a command of its own; the browser's share one page. */
const PROJECTS = [
  { project: 'node', files: 2 },
  { project: 'browser', files: 1 },
] as const;

function run(command: readonly string[]): boolean {
  process.stdout.write(`\n$ ${command.join(' ')}\n`);
  const started = performance.now();
  const { status } = spawnSync('npx', ['--no-install', ...command], {
    stdio: 'inherit',
    shell: process.platform === 'win32',
  });
  process.stdout.write(
    `${status === 0 ? 'passed' : 'FAILED'} in ${((performance.now() - started) / 1000).toFixed(1)} s\n`,
  );
  return status === 0;
}

/** Runs one check and writes all it said when it has ended. */
async function check(command: readonly string[]): Promise<Count> {
  const said: string[] = [`\n$ ${command.join(' ')}\n`];
  const started = performance.now();
  const child = spawn('npx', ['--no-install', ...command], { shell: process.platform === 'win32' });
  for (const stream of [child.stdout, child.stderr]) stream.on('data', (data: Buffer) => said.push(data.toString()));
  const good = await new Promise<boolean>((settle) => {
    child.on('close', (code) => settle(code === 0));
    child.on('error', () => settle(false));
  });
  said.push(`${good ? 'passed' : 'FAILED'} in ${((performance.now() - started) / 1000).toFixed(1)} s\n`);
  process.stdout.write(said.join(''));
  return good ? { passed: 1, failed: 0 } : { passed: 0, failed: 1 };
}

/** All checks, in two lanes. */
async function checks(): Promise<Count[]> {
  const waiting = [...CHECKS];
  const lane = async (): Promise<Count[]> => {
    const done: Count[] = [];
    for (let next = waiting.shift(); next; next = waiting.shift()) done.push(await check(next));
    return done;
  };
  return (await Promise.all([lane(), lane()])).flat();
}

/** Tests of one Vitest project. A run that fails without a failed test (a file that does not load) counts as one failure. */
function tests({ project, files }: (typeof PROJECTS)[number], folder: string): Count {
  const report = join(folder, `${project}.json`);
  const good = run([
    'vitest',
    'run',
    '--project',
    project,
    `--maxWorkers=${files}`,
    '--reporter=default',
    '--reporter=json',
    `--outputFile.json=${report}`,
  ]);
  try {
    const counted = JSON.parse(readFileSync(report, 'utf8')) as { numPassedTests: number; numFailedTests: number };
    return { passed: counted.numPassedTests, failed: Math.max(counted.numFailedTests, good ? 0 : 1) };
  } catch {
    return { passed: 0, failed: 1 };
  }
}

function browserIsThere(): boolean {
  if (findChromium() === undefined) installChromiumInCi();
  if (findChromium() !== undefined) return true;
  process.stderr.write(`${HOW_TO_GET_CHROMIUM}\n`);
  return false;
}

async function gate(): Promise<Count> {
  if (!browserIsThere()) return { passed: 0, failed: 1 };
  const folder = mkdtempSync(join(tmpdir(), 'evencast-gate-'));
  try {
    const counts = [...(await checks()), ...PROJECTS.map((which) => tests(which, folder))];
    return counts.reduce((a, b) => ({ passed: a.passed + b.passed, failed: a.failed + b.failed }));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const { passed, failed } = await gate();
process.stdout.write(`\n${passed} passed, ${failed} failed\n`);
process.exitCode = failed === 0 ? 0 : 1;
