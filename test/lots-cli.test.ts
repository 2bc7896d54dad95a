import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { demoLot } from '../src/lots/demo-lot.ts';
import { lotText } from '../src/lots/read-lot.ts';
import { evencast, started, type Ran } from './support/commands.ts';

const folder = mkdtempSync(join(tmpdir(), 'evencast-lot-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** The command in this process. */
const lot = (...args: string[]): Promise<Ran> => evencast('lot', ...args);

function file(name: string, content: unknown): string {
  const path = join(folder, name);
  writeFileSync(path, typeof content === 'string' ? content : JSON.stringify(content));
  return path;
}

const demo = file('demo.json', lotText(demoLot()));
/** An invented d6 as `measure --json` prints it, its 1-6 axis off by so much. */
const result = (off: number): unknown => ({
  format: 'evencast-result/1',
  die: { kind: 'd6' },
  axes: ['1-6', '2-5', '3-4'].map((name, i) => ({ name, length: 16 + (i === 0 ? off : 0), u: 0.006 })),
  faces: ['1', '2', '3', '4', '5', '6'].map((name) => ({ name, distance: 8, u: 0.004 })),
  corners: ['1', '6'].flatMap((a) =>
    ['2', '5'].flatMap((b) => ['3', '4'].map((c) => ({ name: `${a}-${b}-${c}`, radius: 1, u: 0.02 }))),
  ),
  meanAxis: { value: 16 + off / 3, u: 0.005 },
  rangeOfAxes: { value: Math.abs(off), u: 0.005 },
  meanCornerRadius: { value: 1, u: 0.01 },
});

interface Analysis {
  readonly format: string;
  readonly findings: readonly { readonly code: string; readonly text: string }[];
  readonly sampling: { readonly verdict: string; readonly plan: { readonly sample: number } } | null;
  readonly components: { readonly axes: { readonly components: readonly { readonly source: string }[] } };
}

test('a lot file: table, JSON with all numbers, sampling by a plan', async () => {
  const table = started('lot', demo);
  expect([table.status, table.stderr]).toEqual([0, '']);
  expect(table.stdout).toMatch(/mould: the same pattern on every die +23\.7 +21\.6 to 25\.8 +45 %/);
  expect(table.stdout).toContain('H-27 lies apart by its axis 4-17');
  const { status, stdout } = await lot(demo, '--aql', '2.5', '--level', 'I', '--json');
  const out = JSON.parse(stdout) as Analysis;
  expect([status, out.format, out.sampling!.verdict, out.sampling!.plan.sample]).toEqual([
    0,
    'evencast-lot-analysis/1',
    'accept',
    32,
  ]);
  expect(out.components.axes.components.map((c) => c.source)).toContain('cavity-pattern');
});

test('results become a lot, which is read again; limits from a file', async () => {
  const dice = [0.01, 0.04, 0.03].map((off, i) => file(`die-${i}.json`, result(off)));
  const made = await lot(...dice, '--as-lot');
  expect([made.status, made.stderr]).toEqual([0, '']);
  const again = file('made.json', made.stdout);
  expect((await lot(again, '--as-lot')).stdout).toBe(made.stdout);
  const limits = file('limits.json', { format: 'evencast-lot-limits/1', limits: { rangeOfAxes: { upper: 0.002 } } });
  const { stdout } = await lot(again, '--limits', limits, '--aql', '1', '--size', '20', '--json');
  const out = JSON.parse(stdout) as Analysis;
  expect(out.findings.map((f) => f.text)).toContain('Against the limits: 0 within, 1 undecided, 2 outside.');
  expect(out.sampling!.verdict).toBe('reject');
});

describe('bad input', () => {
  const broken = JSON.parse(lotText(demoLot())) as { dice: { axes: { value: unknown }[] }[] };
  broken.dice[3]!.axes[2]!.value = 'x\u001b[2Jx';
  const d20 = { ...(result(0) as object), die: { kind: 'd20' } };
  test.each<[string, () => string[], RegExp]>([
    [
      'a broken place',
      () => [file('broken.json', broken)],
      /broken\.json: dice\[3\]\.axes\[2\]\.value: "x\\u001b\[2Jx" found, a number needed/,
    ],
    ['a torn file', () => [file('torn.json', lotText(demoLot()).slice(0, 900))], /torn\.json: no JSON/],
    ['no file', () => [join(folder, 'none.json')], /none\.json cannot be read: no such file/],
    [
      'a failure',
      () => [file('failed.json', { format: 'evencast-result/1', error: { code: 'no-card' } })],
      /not measured \(no-card\)/,
    ],
    [
      'a wrong number of axes',
      () => [file('odd.json', d20)],
      /axes: 3 found, 10, as many as a die of this kind has, needed/,
    ],
    [
      'a lot without its format',
      () => [file('bare.json', { ...(JSON.parse(lotText(demoLot())) as object), format: undefined })],
      /bare\.json: holds dice, but names no format: "format": "evencast-lot\/1" is needed/,
    ],
    ['two lots', () => [demo, demo], /a lot file stands alone, 2 files given/],
    ['no lot size', () => [file('small.json', result(0)), '--aql', '1'], /how many dice/],
    ['limits of another kind', () => [demo, '--limits', demo], /format: "evencast-lot\/1" found/],
  ])('%s: told on stderr and in the JSON, exit code 3', async (_, args, message) => {
    const { status, stdout, stderr } = await lot(...args(), '--json');
    expect(status).toBe(3);
    expect(stderr).toMatch(message);
    // eslint-disable-next-line no-control-regex
    expect(stderr).not.toMatch(/\u001b/);
    expect((JSON.parse(stdout) as { error: { message: string } }).error.message).toMatch(message);
  });
  test.each([
    [[]],
    [['--aql', '0.9']],
    [['--level', 'II']],
    [['--json', '--as-lot']],
    [['--format', 'png']],
    [['--what']],
  ])('%j: usage, exit code 2', async (extra) => {
    const { status, stdout, stderr } = await lot(...(extra.length > 0 ? [demo, ...extra] : []));
    expect({ status, stdout }).toEqual({ status: 2, stdout: '' });
    expect(stderr).toContain('usage: ');
  });
});

test.each([
  ['html', /^<!doctype html>/],
  ['csv', /^\u00ef\u00bb\u00bfdie,cavity,time h/],
  ['pdf', /^%PDF-1\.7/],
])('a report as %s', async (form, begin) => {
  const { status, stdout, stderr } = await lot(demo, '--format', form, '--aql', '2.5');
  expect([status, stderr]).toEqual([0, '']);
  expect(stdout).toMatch(begin);
});

test('the same measurement twice is named', async () => {
  const die = file('same.json', result(0.01));
  expect((await lot(die, die)).stdout).toContain('same (2) has the very numbers of same');
});
