import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { run } from '../src/cli/shots.ts';

let out = '';
let err = '';
beforeEach(() => {
  out = err = '';
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => ((out += String(text)), true));
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => ((err += String(text)), true));
});
afterEach(() => vi.restoreAllMocks());

test('plans as many photos as asked for, the same ones each time', async () => {
  expect(await run(['--die', 'd20', '--photos', '5', '--json'])).toBe(0);
  const plan = JSON.parse(out) as {
    format: string;
    shots: { up: string; front: string; lean: number; helps: { axis: string }[] }[];
    expected: { axes: { name: string; u: number; uDifference: number }[]; meanAxis: number };
  };
  expect([plan.format, plan.shots.length, plan.expected.axes.length]).toEqual(['evencast-shots/1', 5, 10]);
  for (const { lean, helps } of plan.shots) expect([lean > 0, helps.length > 0]).toEqual([true, true]);
  for (const { u, uDifference } of plan.expected.axes) expect(u).toBeGreaterThan(uDifference);
  const first = out;
  out = '';
  await run(['--die', 'd20', '--photos', '5', '--json']);
  expect(out).toBe(first);
});

test('measured bars make the lengths surer; the table says what to expect of each axis', async () => {
  const length = async (bars: string): Promise<number> => {
    out = '';
    await run(['--die', 'd6', '--bars', bars]);
    return Number(/^ +1-6 +(\d+) +\d+$/m.exec(out)![1]);
  };
  expect(await length('0')).toBeGreaterThan(3 * (await length('2')));
  out = '';
  expect(await run(['--die', 'd10', '--tens', '--effort', 'quick'])).toBe(0);
  expect(out).toMatch(/^4 photos of a d10/);
  expect(out).toMatch(/\n\s+00-90\s+\d+\s+\d+\n/);
});

test.each([
  [[], '--die missing: one of d4, d6, d8, d10, d12, d20 needed'],
  [['--die', 'd7'], '--die d7: one of'],
  [['--die', 'd6', '--photos', '0'], '--photos 0: a whole number from 1 to 30 needed'],
  [['--die', 'd6', '--photos', '4', '--effort', 'quick'], '--photos and --effort given, one of them needed'],
  [['--die', 'd6', '--effort', 'some'], '--effort some: one of quick, usual, thorough needed'],
  [['--die', 'd6', '--bars', '3'], '--bars 3: 0, 1 or 2 needed'],
  [['--die', 'd6', '--tens'], '--tens is for a d10, not for a d6'],
  [['--die', 'd6', '--what'], "Unknown option '--what'"],
])('usage %j is refused: %s', async (args, told) => {
  expect(await run(args)).toBe(2);
  expect(out).toBe('');
  expect(err).toContain(told);
  expect(err).toContain('usage: npm run -s evencast -- shots');
});

test('--help says how', async () => {
  expect(await run(['--help'])).toBe(0);
  expect(out).toMatch(/^usage: npm run -s evencast -- shots/);
});
