import axe from 'axe-core';
import { mount, unmount } from 'svelte';
import { afterEach, beforeEach, expect, test } from 'vitest';
import '../src/ui/app.css';
import RollsSheet from '../src/ui/parts/RollsSheet.svelte';

/** An invented d6 whose axis 1-6 is short by 0.1 mm, with corners named as a result names them. */
const u = 0.004;
const half = (axis: number): number => (axis === 0 ? 7.95 : 8);
const axisNames = ['1-6', '2-5', '3-4'];
const record = {
  format: 'evencast-result/1',
  die: { kind: 'd6' as const },
  axes: axisNames.map((name, i) => ({ name, length: 2 * half(i), u, uCommon: u, uDifference: u })),
  axesCovariance: axisNames.map((_, i) => axisNames.map((_n, j) => (i === j ? u * u : 0))),
  faces: ['1', '2', '3', '4', '5', '6'].map((name) => ({
    name,
    distance: half(axisNames.findIndex((axis) => axis.includes(name))),
    u: u / 2,
  })),
  corners: ['1', '6'].flatMap((a) =>
    ['2', '5'].flatMap((b) => ['3', '4'].map((c) => ({ name: `${a}-${b}-${c}`, radius: 1, u: 0.01 }))),
  ),
};

let host: HTMLElement;
let sheet: Record<string, unknown>;
beforeEach(() => {
  host = document.createElement('main');
  document.body.append(host);
  sheet = mount(RollsSheet, { target: host, props: { result: record } });
});
afterEach(async () => {
  await unmount(sheet);
  host.remove();
});

const section = (id: string): HTMLElement => host.querySelector<HTMLElement>(`section:has(#${id})`)!;
const field = <T extends HTMLElement>(label: string | RegExp): T => {
  const found = [...host.querySelectorAll('label')].find(({ textContent }) =>
    typeof label === 'string' ? textContent === label : label.test(textContent ?? ''),
  )!;
  return document.getElementById(found.htmlFor) as T;
};
const type = (label: string | RegExp, text: string): void => {
  const input = field<HTMLInputElement>(label);
  input.value = text;
  input.dispatchEvent(new Event('input', { bubbles: true }));
};
const press = (name: string): void => {
  const found = [...host.querySelectorAll('button')].find(
    (b) => (b.getAttribute('aria-label') ?? b.textContent?.trim()) === name,
  );
  found!.click();
};
const chancesIn = (id: string): number[] =>
  [...section(id).querySelectorAll('tbody tr')].map((row) => Number(row.querySelector('td')!.textContent));

test('tells chances with interval in chart and table, and in sentences', () => {
  const chances = chancesIn('rolls');
  expect(chances).toHaveLength(6);
  // The short axis' faces lie nearer to the centre: they come up more often.
  expect(Math.min(chances[0]!, chances[5]!)).toBeGreaterThan(Math.max(...chances.slice(1, 5)));
  expect(section('rolls').querySelector('svg')!.getAttribute('aria-label')).toMatch(
    /equal is 16\.67\u202f%\. 1: 1\d\.\d\d\u202f%, .* to .*; 2: /,
  );
  expect(section('rolls').textContent).toMatch(/more often than the equal 16\.67/);
  expect(section('rolls').textContent).toMatch(/Mean roll 3\.\d{3} \(.* to .*\); an even die has 3\.5/);
});

test('follows the table chosen', async () => {
  const before = chancesIn('rolls');
  const select = field<HTMLSelectElement>('Table');
  select.value = 'wood';
  select.dispatchEvent(new Event('change', { bubbles: true }));
  await expect.poll(() => chancesIn('rolls')).not.toEqual(before);
});

test('what if: follows at once, says what is impossible, and goes back to measured', async () => {
  type('Axis 1-6', '16');
  await expect.poll(() => chancesIn('what-if')).toEqual([16.67, 16.67, 16.67, 16.67, 16.67, 16.67]);
  type('Axis 1-6', '0');
  await expect.poll(() => section('what-if').textContent).toMatch(/impossible/);
  press('Back to measured');
  await expect.poll(() => section('what-if').textContent).toMatch(/nothing is changed yet/);
  expect(section('what-if').querySelector('svg')).toBeNull();
});

test('ready comparisons: a row for each flaw, the change of the number it moves most', async () => {
  section('what-if').querySelector('summary')!.click();
  const cells = (): string[][] =>
    [...section('what-if').querySelectorAll('details tbody tr')].map((row) =>
      [...row.children].map(({ textContent }) => textContent ?? ''),
    );
  await expect.poll(() => cells().length).toBe(6);
  const short = cells().find(([flaw]) => flaw === 'axis 0.5 % short')!;
  expect(short[2]).toMatch(/^\+[12]\.\d\d$/);
});

test('throws in workers: a result with its count; a run under way can be cancelled', async () => {
  type('Throws', '6000');
  await expect.poll(() => field<HTMLInputElement>('Throws').value).toBe('6000');
  press('Throw');
  await expect.poll(() => chancesIn('throws').length, { timeout: 20_000 }).toBe(6);
  await expect.poll(() => section('throws').textContent).toMatch(/by 6,?000 throws/);
  const sum = chancesIn('throws').reduce((a, b) => a + b, 0);
  expect(sum).toBeCloseTo(100, 1);
  type('Throws', '50000000');
  await expect.poll(() => field<HTMLInputElement>('Throws').value).toBe('50000000');
  press('Throw');
  await expect.poll(() => section('throws').querySelector('progress')).not.toBeNull();
  press('Cancel');
  await expect.poll(() => section('throws').textContent).toMatch(/Cancelled/);
  expect(section('throws').querySelector('progress')).toBeNull();
});

test('stack check: agrees, disagrees, cannot tell', async () => {
  const state = (): string => section('stack').querySelector('p[role=status]')!.textContent ?? '';
  type('Measured height, 1-6', '159,0');
  type('Measured height, 2-5', '160');
  await expect.poll(state).toMatch(/^Agree/);
  type('Measured height, 1-6', '160');
  await expect.poll(state).toMatch(/^Disagree/);
  type('Measured height, 1-6', '159');
  type('Standard uncertainty of a reading', '2');
  await expect.poll(state).toMatch(/^Cannot tell/);
});

test('roll log: pasted, tallied, cleared and brought back', async () => {
  type(/^Rolls in order/, '1: 30\n2: 8\n3: 9\n4: 10\n5: 9\n6: 30');
  await expect.poll(() => section('log').textContent, { timeout: 10_000 }).toMatch(/96 rolls: an even die strays/);
  expect(section('log').textContent).toMatch(/Shape and rolls disagree/);
  press('Clear');
  await expect.poll(() => section('log').querySelector('table')).toBeNull();
  press('Bring back');
  await expect.poll(() => section('log').textContent).toMatch(/Chi-square/);
  press('Clear');
  for (const name of ['3', '5']) {
    press(`Add a roll of ${name}`);
    await expect.poll(() => field<HTMLTextAreaElement>(/^Rolls in order/).value).toMatch(new RegExp(`${name}$`));
  }
  await expect.poll(() => section('log').textContent).toMatch(/2 rolls: nothing uneven is shown/);
  type(/^Rolls in order/, 'apple');
  await expect.poll(() => section('log').textContent).toMatch(/no roll of a die/);
  press('Clear');
});

test('breaks no rule of axe-core', async () => {
  type(/^Rolls in order/, '1 2 3 4 5 6 6 5 4 3 2 1');
  type('Axis 1-6', '15.95');
  await expect.poll(() => section('log').querySelector('table'), { timeout: 10_000 }).not.toBeNull();
  const { violations } = await axe.run(host);
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes[0]!.html}`)).toEqual([]);
});
