import axe from 'axe-core';
import { mount, unmount } from 'svelte';
import { afterEach, beforeEach, expect, test } from 'vitest';
import '../src/ui/app.css';
import { language } from '../src/ui/kit/language.svelte.ts';
import RollsSheet from '../src/ui/rolls/RollsSheet.svelte';

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
  language.choose('en');
  host = document.createElement('main');
  document.body.append(host);
  sheet = mount(RollsSheet, { target: host, props: { result: structuredClone(record) } });
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

test('what if: a single corner, an edge, a crown, a mark with its place, a trimmed edge, the centre of mass', async () => {
  const choose = (label: string, shown: string): void => {
    const select = field<HTMLSelectElement>(label);
    select.value = [...select.options].find(({ textContent }) => textContent === shown)!.value;
    select.dispatchEvent(new Event('change', { bubbles: true }));
  };
  const told = (): string => section('what-if').querySelector('p[role=status]')!.textContent ?? '';
  const ready = async (label: string): Promise<void> =>
    expect.poll(() => [...host.querySelectorAll('label')].some(({ textContent }) => textContent === label)).toBe(true);
  choose('A single corner', '1-2-3');
  await ready('Radius of corner 1-2-3');
  expect(told()).toMatch(/nothing is changed yet|Largest change: \d comes up 0\.00/);
  type('Radius of corner 1-2-3', '1,6');
  await expect.poll(told).toMatch(/Largest change/);
  press('Back to measured');
  choose('A single edge', '1-2');
  await ready('Radius of edge 1-2');
  type('Radius of edge 1-2', '2');
  await expect.poll(told).toMatch(/Largest change/);
  press('Back to measured');
  choose('A gate mark on face', '6');
  await ready('Height of the mark');
  // A mark on 6 lifts the die when 6 lies down and 1 would be rolled.
  await expect.poll(told).toMatch(/Largest change: 1 comes up \d\.\d+\u202f% less/);
  const central = told();
  type("Place: towards the face's farthest corner", '\u22126');
  await expect.poll(told).not.toBe(central);
  type('Height of the mark', '9');
  await expect.poll(told).toMatch(/impossible: mark/);
  press('Back to measured');
  choose('A crowned face', '5');
  await expect.poll(told).toMatch(/Largest change: 2 comes up .* less/);
  press('Back to measured');
  choose('A trimmed edge', '2-3');
  await ready('Cut below the rounding');
  type('Cut below the rounding', '0.3');
  await expect.poll(told).toMatch(/Largest change/);
  press('Back to measured');
  choose('Centre of mass moved towards face', '6');
  // The heavy side lies down.
  await expect.poll(told).toMatch(/Largest change: (1 comes up .* more|6 comes up .* less)/);
  press('Back to measured');
  await expect.poll(told).toMatch(/nothing is changed yet/);
});

test('a slider moves the number beside it, and the chances with it', async () => {
  const slider = host.querySelector<HTMLInputElement>('input[type=range][aria-label="Axis 2-5"]')!;
  slider.value = String(slider.max);
  slider.dispatchEvent(new Event('input', { bubbles: true }));
  await expect.poll(() => field<HTMLInputElement>('Axis 2-5').value).toBe(Number(slider.max).toFixed(3));
  await expect.poll(() => section('what-if').textContent).toMatch(/Largest change: [25] comes up .* less often/);
});

test('confirms the changed die by throwing it', async () => {
  type('Axis 1-6', '15.7');
  type('Throws, at most', '6000');
  await expect.poll(() => section('what-if').querySelector('svg')).not.toBeNull();
  press('Confirm by throwing');
  await expect.poll(() => section('throws').textContent).toMatch(/A sharp die of its size tumbles/);
  expect(field<HTMLSelectElement>('Die').value).toBe('changed');
  const thrown = chancesIn('throws');
  expect(thrown[0]! + thrown[5]!).toBeGreaterThan(34.3);
});

test('stops as soon as the chances are known as asked', async () => {
  type('Throws, at most', '5000000');
  type(/^Stop when each chance/, '5');
  await expect.poll(() => field<HTMLInputElement>(/^Stop when each chance/).value).toBe('5');
  press('Throw');
  await expect.poll(() => section('throws').textContent).toMatch(/is known to ±[1-4]\.\d\d/);
  await expect.poll(() => section('throws').querySelector('progress')).toBeNull();
  type(/^Stop when each chance/, 'soon');
  await expect.poll(() => section('throws').textContent).toMatch(/a number from 0\.05 to 50/);
});

test('arguments side by side: a row for each flaw, both sides, thrown on demand', async () => {
  const cells = (): string[][] =>
    [...section('compare').querySelector('table')!.querySelectorAll('tbody tr')].map((row) =>
      [...row.children].map(({ textContent }) => textContent ?? ''),
    );
  expect(cells()).toHaveLength(6);
  const short = cells().find(([flaw]) => flaw === 'one axis 0.5 % short against none')!;
  expect(short[4]).toMatch(/^\+[12]\.\d\d$/);
  expect(Number(short[3]) / Number(short[2]) - 1).toBeCloseTo(Number(short[4]) / 100, 2);
  const select = field<HTMLSelectElement>('Side by side');
  select.value = 'tumbled';
  select.dispatchEvent(new Event('change', { bubbles: true }));
  await expect
    .poll(() => section('compare').querySelector('figcaption')?.textContent)
    .toMatch(/rounded as it is against sharp/);
  type('Throws, at most', '30000');
  press('Throw both');
  await expect.poll(() => section('compare').textContent).toMatch(/With: .*30\u202f000 throws/);
  const times = [...section('compare').textContent!.matchAll(/tumbles (\d\.\d+)/g)].map(([, t]) => Number(t));
  // Rounded dice roll longer.
  expect(times[1]!).toBeGreaterThan(times[0]!);
});

test('a die beyond the at-once chances is thrown without being asked', async () => {
  await unmount(sheet);
  const faces = record.faces.map((f) => (f.name === '1' || f.name === '6' ? { ...f, distance: 7 } : f));
  sheet = mount(RollsSheet, { target: host, props: { result: { ...record, faces } } });
  await expect.poll(() => section('rolls').textContent).toMatch(/do not serve this die: its faces stray farther/);
  await expect.poll(() => section('throws').querySelector('progress')).not.toBeNull();
  await expect.poll(() => chancesIn('throws').length).toBe(6);
  // What it means is then said of the throws.
  await expect.poll(() => section('rolls').querySelector('figcaption')!.textContent).toMatch(/by [\d\u202f]+ throws/);
  press('Cancel');
});

test('coins, planes that do not close and radii larger than the land are told, and the page lives on', async () => {
  const distances = (distance: unknown): unknown => ({
    ...record,
    faces: record.faces.map((f) => ({ ...f, distance })),
  });
  const radii = (radius: unknown): unknown => ({ ...record, corners: record.corners.map((c) => ({ ...c, radius })) });
  const cases: [unknown, RegExp, RegExp][] = [
    [
      { die: { kind: 'coin' }, faces: [] },
      /Coins, barrels and rods are refused/,
      /Münzen, Tonnen und Stäbe werden abgelehnt/,
    ],
    [distances(-8), /-8 is no possible length/, /Abstand einer Fläche: [-−]8 ist keine mögliche Länge/],
    [distances(NaN), /NaN is no possible length/, /Abstand einer Fläche: NaN ist keine mögliche Länge/],
    [distances(Infinity), /Infinity is no possible length/, /Infinity ist keine mögliche Länge/],
    [radii(NaN), /corner radius: NaN is no possible length/, /Eckenradius: NaN ist keine mögliche Länge/],
    [
      distances('8'),
      /faces\[0\]\.distance: "8" found, a number needed/,
      /faces\[0\]\.distance: "8" gefunden, nötig: eine Zahl/,
    ],
    [radii(9), /leaves no land/, /zwischen den Ecken keine Auflage/],
    ['no object', /an object needed/, /nötig: ein Objekt/],
  ];
  try {
    for (const [result, english, german] of cases) {
      await unmount(sheet);
      sheet = mount(RollsSheet, { target: host, props: { result } });
      await expect.poll(() => section('rolls').textContent).toMatch(english);
      expect(host.querySelectorAll('section')).toHaveLength(1);
      language.choose('de');
      await expect.poll(() => section('rolls').textContent).toMatch(german);
      language.choose('en');
    }
  } finally {
    language.choose('en');
  }
});

test('throws in workers: a result with its count; a run under way can be cancelled', async () => {
  type('Throws, at most', '6000');
  await expect.poll(() => field<HTMLInputElement>('Throws, at most').value).toBe('6000');
  press('Throw');
  await expect.poll(() => chancesIn('throws').length).toBe(6);
  await expect.poll(() => section('throws').textContent).toMatch(/by 6\u202f?000 throws/);
  await expect.poll(() => section('throws').querySelector('progress')).toBeNull();
  const sum = chancesIn('throws').reduce((a, b) => a + b, 0);
  expect(sum).toBeCloseTo(100, 1);
  type('Throws, at most', '50000000');
  await expect.poll(() => field<HTMLInputElement>('Throws, at most').value).toBe('50000000');
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
  await expect.poll(() => section('log').textContent).toMatch(/96 rolls: an even die strays/);
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

test('rolls by number keys: at once where no other number can follow, undone by Backspace', async () => {
  const box = field<HTMLInputElement>('Rolls by number keys');
  const log = (): string => field<HTMLTextAreaElement>(/^Rolls in order/).value;
  for (const digit of ['4', '2', '7']) {
    box.value = digit;
    box.dispatchEvent(new Event('input', { bubbles: true }));
    await expect.poll(() => box.value).toBe(digit === '7' ? '7' : '');
  }
  expect(log()).toBe('4 2');
  box.value = '';
  box.dispatchEvent(new Event('input', { bubbles: true }));
  box.dispatchEvent(new KeyboardEvent('keydown', { key: 'Backspace', bubbles: true }));
  await expect.poll(log).toBe('4');
  press('Clear');
});

test('the e-value is watched roll by roll, and says when it decides', async () => {
  type(/^Rolls in order/, '1 2 3 4 5 6 1 2 3 4');
  await expect.poll(() => section('log').textContent).toMatch(/0\.\d+ after 10 rolls/);
  expect(section('log').textContent).toMatch(/Below 20: nothing is decided/);
  type(/^Rolls in order/, '6 '.repeat(400));
  await expect.poll(() => section('log').textContent).toMatch(/It has reached 20/);
  press('Clear');
});

test('ten million pasted rolls are read beside the box; the page answers meanwhile', async () => {
  const text = '1 2 3 4 5 6 3 3 4 1 '.repeat(1_000_000);
  const data = new DataTransfer();
  data.setData('text/plain', text);
  const box = field<HTMLTextAreaElement>(/^Rolls in order/);
  box.dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true }));
  await expect.poll(() => section('log').textContent).toMatch(/A long log \(20\.0 million characters\)/);
  expect(box.value).toBe('');
  type('Axis 1-6', '15.9');
  await expect.poll(() => section('what-if').textContent).toMatch(/Largest change|nothing is changed/);
  await expect.poll(() => section('log').textContent).toMatch(/10\u202f000\u202f000 rolls: an even die/);
  press('Clear');
  await expect.poll(() => section('log').querySelector('table')).toBeNull();
  press('Bring back');
  await expect.poll(() => section('log').textContent).toMatch(/A long log/);
  press('Clear');
});

test('a file of rolls that is gone when it is read is told, and nothing typed is lost', async () => {
  type(/^Rolls in order/, '1 2 3');
  const gone = new File(['4 5 6'], 'rolls.txt');
  const files = new DataTransfer();
  files.items.add(gone);
  const input = section('log').querySelector<HTMLInputElement>('input[type=file]')!;
  input.files = files.files;
  const { text } = Blob.prototype;
  Blob.prototype.text = () => Promise.reject(new DOMException('gone', 'NotFoundError'));
  try {
    input.dispatchEvent(new Event('change', { bubbles: true }));
    await expect
      .poll(() => section('log').textContent)
      .toMatch(/"rolls\.txt" cannot be read any more.*Choose the file again/);
  } finally {
    Blob.prototype.text = text;
  }
  expect(field<HTMLTextAreaElement>(/^Rolls in order/).value).toBe('1 2 3');
  press('Clear');
});

test('German: sentences, faults and numbers', async () => {
  language.choose('de');
  try {
    await expect.poll(() => section('rolls').textContent).toMatch(/häufiger als gleich verteilt mit 16,67/);
    type(/^Würfe der Reihe nach/, '1: 30\n2: 8\n3: 9\n4: 10\n5: 9\n6: 30');
    await expect.poll(() => section('log').textContent).toMatch(/96 Würfe: So weit weicht ein gleichmäßiger Würfel/);
    type('Achse 1-6', '0');
    await expect.poll(() => section('what-if').textContent).toMatch(/kann es nicht geben: Abstand einer Fläche/);
    press('Zurück zum Gemessenen');
    press('Leeren');
  } finally {
    language.choose('en');
  }
});

test('breaks no rule of axe-core', async () => {
  type(/^Rolls in order/, '1 2 3 4 5 6 6 5 4 3 2 1');
  type('Axis 1-6', '15.95');
  await expect.poll(() => section('log').querySelector('table')).not.toBeNull();
  const { violations } = await axe.run(host);
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes[0]!.html}`)).toEqual([]);
});
