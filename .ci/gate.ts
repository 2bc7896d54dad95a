/** The whole gate, cheap checks first. The last line counts checks and tests: "N passed, N failed". */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { findChromium, HOW_TO_GET_CHROMIUM, installChromiumInCi } from '../config/chromium.ts';

interface Count {
  readonly passed: number;
  readonly failed: number;
}

const CHECKS: readonly (readonly string[])[] = [
  ['prettier', '--check', '--log-level', 'warn', '.'],
  ['tsc', '-p', 'tsconfig.core.json'],
  ['tsc', '-p', 'tsconfig.node.json'],
  ['svelte-check', '--tsconfig', './tsconfig.json', '--fail-on-warnings', '--output', 'human'],
  ['eslint', '--max-warnings', '0', '.'],
];

const PROJECTS = ['node', 'browser'] as const;

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

function check(command: readonly string[]): Count {
  return run(command) ? { passed: 1, failed: 0 } : { passed: 0, failed: 1 };
}

/** Tests of one Vitest project. A run that fails without a failed test (a file that does not load) counts as one failure. */
function tests(project: string, folder: string): Count {
  const report = join(folder, `${project}.json`);
  const good = run([
    'vitest',
    'run',
    '--project',
    project,
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

function gate(): Count {
  if (!browserIsThere()) return { passed: 0, failed: 1 };
  const folder = mkdtempSync(join(tmpdir(), 'evencast-gate-'));
  try {
    const counts = [...CHECKS.map(check), ...PROJECTS.map((project) => tests(project, folder))];
    return counts.reduce((a, b) => ({ passed: a.passed + b.passed, failed: a.failed + b.failed }));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const { passed, failed } = gate();
process.stdout.write(`\n${passed} passed, ${failed} failed\n`);
process.exitCode = failed === 0 ? 0 : 1;
