/** The whole gate, cheap checks first. The last line counts checks and tests: "N passed, N failed". */
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { findChromium, HOW_TO_GET_CHROMIUM, installChromiumInCi } from '../config/chromium.ts';

interface Count {
  readonly passed: number;
  readonly failed: number;
}

/** Report of a Vitest project, in the folder of this run. */
const reportOf = (project: string, folder: string): string => join(folder, `${project}.json`);

/** Tests of one Vitest project, so many files at a time: those in Node wait much for a browser or a command of their own; the browser's share one page. */
const tests = (project: string, files: number, folder: string): readonly string[] => [
  'vitest',
  'run',
  '--project',
  project,
  `--maxWorkers=${files}`,
  '--reporter=default',
  '--reporter=json',
  `--outputFile.json=${reportOf(project, folder)}`,
];

/** One more than cores: much of these tests waits for a browser or a command of its own. */
const FILES_IN_NODE = 3;

/** Run two at a time, after the tests in the browser. */
const CHECKS: readonly (readonly string[])[] = [
  ['eslint', '--max-warnings', '0', '.'],
  ['prettier', '--check', '--log-level', 'warn', '.'],
  ['tsx', 'config/check-types.ts', 'components'],
  ['oxlint', '--type-aware'],
  ['tsx', 'config/check-types.ts', 'core'],
  ['tsx', 'config/check-types.ts', 'node'],
];

/** Runs one command and writes all it said when it has ended, or at once where nothing runs beside it. */
async function run(command: readonly string[], alone = false): Promise<boolean> {
  const said: string[] = [];
  const say = (text: string): unknown => (alone ? process.stdout.write(text) : said.push(text));
  say(`\n$ ${command.join(' ')}\n`);
  const started = performance.now();
  const child = spawn('npx', ['--no-install', ...command], { shell: process.platform === 'win32' });
  for (const stream of [child.stdout, child.stderr]) stream.on('data', (data: Buffer) => say(data.toString()));
  const good = await new Promise<boolean>((settle) => {
    child.on('close', (code) => settle(code === 0));
    child.on('error', () => settle(false));
  });
  say(`${good ? 'passed' : 'FAILED'} in ${((performance.now() - started) / 1000).toFixed(1)} s\n`);
  process.stdout.write(said.join(''));
  return good;
}

async function check(command: readonly string[]): Promise<Count> {
  return (await run(command)) ? { passed: 1, failed: 0 } : { passed: 0, failed: 1 };
}

/** Runs tests of one Vitest project. A run that fails without a failed test (a file that does not load) counts as one failure. */
async function tested(project: string, files: number, folder: string, alone = false): Promise<Count> {
  const good = await run(tests(project, files, folder), alone);
  try {
    const counted = JSON.parse(readFileSync(reportOf(project, folder), 'utf8')) as {
      numPassedTests: number;
      numFailedTests: number;
    };
    return { passed: counted.numPassedTests, failed: Math.max(counted.numFailedTests, good ? 0 : 1) };
  } catch {
    return { passed: 0, failed: 1 };
  }
}

/** All jobs in two lanes, in their order. */
async function inTwoLanes(jobs: readonly (() => Promise<Count>)[]): Promise<Count[]> {
  const waiting = [...jobs];
  const lane = async (): Promise<Count[]> => {
    const done: Count[] = [];
    for (let next = waiting.shift(); next; next = waiting.shift()) done.push(await next());
    return done;
  };
  return (await Promise.all([lane(), lane()])).flat();
}

function browserIsThere(): boolean {
  installChromiumInCi();
  if (findChromium() !== undefined) return true;
  process.stderr.write(`${HOW_TO_GET_CHROMIUM}\n`);
  return false;
}

async function gate(): Promise<Count> {
  if (!browserIsThere()) return { passed: 0, failed: 1 };
  const folder = mkdtempSync(join(tmpdir(), 'evencast-gate-'));
  try {
    const [longest, ...others] = CHECKS.map((command) => () => check(command));
    const first = await inTwoLanes([longest!, () => tested('browser', 1, folder), ...others]);
    const counts = [...first, await tested('node', FILES_IN_NODE, folder, true)];
    return counts.reduce((a, b) => ({ passed: a.passed + b.passed, failed: a.failed + b.failed }));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const { passed, failed } = await gate();
process.stdout.write(`\n${passed} passed, ${failed} failed\n`);
process.exitCode = failed === 0 ? 0 : 1;
