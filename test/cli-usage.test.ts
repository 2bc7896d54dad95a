import { spawnSync } from 'node:child_process';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { expect, test } from 'vitest';

const root = join(import.meta.dirname, '..');

function evencast(...args: string[]): { status: number | null; stdout: string; stderr: string } {
  const tsx = createRequire(import.meta.url).resolve('tsx/cli');
  return spawnSync(process.execPath, [tsx, 'src/cli/main.ts', ...args], { cwd: root, encoding: 'utf8' });
}

test.each([[[]], [['no-such-command']], [['toString']]])(
  'arguments %j: usage on stderr, nothing on stdout, exit code 2',
  (args) => {
    expect(evencast(...args)).toMatchObject({
      status: 2,
      stdout: '',
      stderr: expect.stringContaining('usage: ') as string,
    });
  },
);

test('--help: usage on stdout, exit code 0', () => {
  expect(evencast('--help')).toMatchObject({
    status: 0,
    stdout: expect.stringContaining('usage: ') as string,
    stderr: '',
  });
});
