import { expect, test } from 'vitest';
import { evencast, started } from './support/commands.ts';

const USAGE = { status: 2, stdout: '', stderr: expect.stringContaining('usage: ') as string };

test('a process of its own: usage on stderr, nothing on stdout, exit code 2', () => {
  expect(started('no-such-command')).toMatchObject(USAGE);
});

test.each([[[]], [['no-such-command']], [['toString']]])(
  'arguments %j: usage on stderr, nothing on stdout, exit code 2',
  async (args) => {
    expect(await evencast(...args)).toMatchObject(USAGE);
  },
);

test('--help: usage on stdout, exit code 0', () => {
  expect(started('--help')).toMatchObject({
    status: 0,
    stdout: expect.stringContaining('usage: ') as string,
    stderr: '',
  });
});
