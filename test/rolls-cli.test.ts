import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { solidOf } from '../src/bias/die/die-shape.ts';
import { evencast, started } from './support/commands.ts';

const folder = mkdtempSync(join(tmpdir(), 'evencast-rolls-'));
afterAll(() => rmSync(folder, { recursive: true }));

function file(name: string, content: unknown): string {
  const path = join(folder, name);
  writeFileSync(path, typeof content === 'string' ? content : JSON.stringify(content));
  return path;
}

const solid = solidOf('d6');
/** A d6 of 19 mm whose 1-6 axis is 1 % short. */
const short = file('short.json', {
  format: 'evencast-result/1',
  die: { kind: 'd6' },
  faces: solid.labels.map((name) => ({ name, distance: name === '1' || name === '6' ? 9.405 : 9.5, u: 0.005 })),
  corners: solid.corners.map(({ name }) => ({ name, radius: 1, u: 0.02 })),
});

interface Rolls {
  readonly format: string;
  readonly method: string;
  readonly faces: readonly { readonly name: string; readonly p: number; readonly low: number; readonly high: number }[];
  readonly meanRoll: { readonly value: number };
  readonly throws?: number;
}

const rolls = async (...args: string[]): Promise<Rolls> => {
  const { status, stdout, stderr } = await evencast('rolls', ...args, '--json');
  expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
  return JSON.parse(stdout) as Rolls;
};

describe('rolls', () => {
  test('at once: every number with its chance, 1 and 6 more often, the mean even', async () => {
    const { format, method, faces, meanRoll } = await rolls(short, '--table', 'wood');
    expect([format, method]).toEqual(['evencast-rolls/1', 'kernel']);
    expect(faces.map((f) => f.name)).toEqual(['1', '2', '3', '4', '5', '6']);
    expect(faces.reduce((s, f) => s + f.p, 0)).toBeCloseTo(1, 5);
    // Throws on wood: 1 % short gives +2.9 % on each of its two faces.
    expect(Math.abs(faces[0]!.p * 6 - 1.029)).toBeLessThan(0.004);
    expect(faces[0]!.low).toBeGreaterThan(1 / 6);
    expect(meanRoll.value).toBeCloseTo(3.5, 3);
  });
  test("thrown: the same seed the same numbers, near the kernel's", async () => {
    const thrown = (seed: string): Promise<Rolls> =>
      rolls(short, '--throws', '30000', '--seed', seed, '--table', 'wood');
    const [one, same, other] = [await thrown('5'), await thrown('5'), await thrown('6')];
    expect(one).toEqual(same);
    expect(one).not.toEqual(other);
    expect([one.method, one.throws]).toEqual(['throws', 30_000]);
    const kernel = await rolls(short, '--table', 'wood');
    // Binomial standard error 1.3 % of a chance; four of them.
    one.faces.forEach((f, i) => expect(Math.abs(f.p / kernel.faces[i]!.p - 1)).toBeLessThan(0.052));
  });
  test('thrown until the chances are known as asked', async () => {
    const { status, stdout } = await evencast('rolls', short, '--table', 'wood', '--precision', '5', '--json');
    expect(status).toBe(0);
    const { throws, faces } = JSON.parse(stdout) as { throws: number; faces: { p: number }[] };
    const least = Math.min(...faces.map(({ p }) => p));
    expect(1.96 * Math.sqrt((1 - least) / (least * throws))).toBeLessThan(0.05);
    // A block less would not have done.
    expect(1.96 * Math.sqrt((1 - least) / (least * (throws - 2000)))).toBeGreaterThan(0.045);
  });
  test('in plain words, started as a person does', () => {
    const { stdout } = started('rolls', short);
    expect(stdout).toContain('an unknown table (the mean of wood, felt, stone)');
    expect(stdout).toMatch(/more often than an even die's 16\.7 %/);
    expect(stdout).toContain('Assumes solid, uniform material');
  });
  test.each<[string, unknown, RegExp]>([
    ['a coin', { die: { kind: 'coin' }, faces: [] }, /refused: against published throws/],
    [
      'a negative length',
      { die: { kind: 'd6' }, faces: solid.labels.map((name) => ({ name, distance: -9 })) },
      /-9 is no possible length/,
    ],
    ['no JSON', '{', /JSON/],
    ['another file', { die: 'd6' }, /die: "d6" found, an object needed/],
  ])('%s: told on stderr and in the JSON, exit code 3', async (_, content, message) => {
    const { status, stdout, stderr } = await evencast('rolls', file('bad.json', content), '--json');
    expect(status).toBe(3);
    expect(stderr).toMatch(message);
    expect((JSON.parse(stdout) as { error: { message: string } }).error.message).toMatch(message);
  });
  test.each([[['--table', 'ice']], [['--throws', '0']], [['--seed', 'x']], [['--precision', 'x']], [['--what']]])(
    '%j: usage, exit code 2',
    async (extra) => {
      const { status, stdout, stderr } = await evencast('rolls', short, ...extra);
      expect({ status, stdout }).toEqual({ status: 2, stdout: '' });
      expect(stderr).toContain('usage: ');
    },
  );
});

describe('log', () => {
  test('counts of a die, and the numbers that belong to it', async () => {
    const { status, stdout } = await evencast(
      'log',
      file('log.txt', '1: 1\n2: 10\n3: 10\n4: 10\n5: 10\n6: 19\n'),
      '--die',
      'd6',
      '--json',
    );
    const log = JSON.parse(stdout) as {
      format: string;
      rolls: number;
      pearson: { statistic: number; p: number };
      faces: unknown[];
    };
    expect(status).toBe(0);
    expect(log).toMatchObject({
      format: 'evencast-log/1',
      rolls: 60,
      pearson: { statistic: 16.2, p: 0.00629567, df: 5 },
    });
  });
  test('against a shape', async () => {
    const { stdout } = await evencast('log', file('log.txt', '1 2 3 4 5 6 '.repeat(20)), '--shape', short, '--json');
    expect((JSON.parse(stdout) as { joint: { verdict: string } }).joint.verdict).toBe('cannot-tell');
  });
  test('a shape of another die is told', async () => {
    const { status, stderr } = await evencast('log', file('log.txt', '1 2 3 20'), '--die', 'd20', '--shape', short);
    expect(status).toBe(3);
    expect(stderr).toContain('the shape has the numbers 1 2 3 4 5 6');
  });
  test.each([
    ['', 'the log is empty'],
    ['7 8', 'no roll of a die'],
    ['1: many', 'no number with its count'],
  ])('%j is told, exit code 3', async (text, message) => {
    const { status, stderr } = await evencast('log', file('log.txt', text), '--die', 'd6');
    expect(status).toBe(3);
    expect(stderr).toContain(message);
  });
});
