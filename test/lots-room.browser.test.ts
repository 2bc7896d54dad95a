import axe from 'axe-core';
import { mount, unmount } from 'svelte';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { analyseLot } from '../src/lots/analysis.ts';
import { demoLot } from '../src/lots/demo-lot.ts';
import { lotText } from '../src/lots/read-lot.ts';
import '../src/ui/app.css';
import type { RoomShelf } from '../src/ui/store/kept-rooms.ts';
import { lotReport } from '../src/ui/lots/lot-report.ts';
import LotsRoom from '../src/ui/lots/LotsRoom.svelte';
import { language } from '../src/ui/kit/language.svelte.ts';
import { LotBench, type KeptLot } from '../src/ui/lots/lots-bench.svelte.ts';

const file = (name: string, content: string): File => new File([content], name);
const text = lotText(demoLot());
const broken = text.replace(/"value": 20\.1\d+/, '"value": "20"');

test('a broken lot file is refused whole with the place named; the lot stays', async () => {
  const room = new LotBench();
  await room.take([file('lot.json', text)]);
  expect([room.lot.dice.length, room.taken, room.faults]).toEqual([40, 40, []]);
  const before = room.lot;
  await room.take([file('broken.json', broken), file('torn.json', text.slice(0, 999)), file('other.json', '{}')]);
  expect(room.lot).toBe(before);
  expect(room.faults.map(({ file: name, why }) => [name, why.code])).toEqual([
    ['broken.json', 'wrong'],
    ['torn.json', 'no-json'],
    ['other.json', 'wrong'],
  ]);
  expect(room.faults[0]!.why).toMatchObject({
    place: expect.stringMatching(/^dice\[\d+\]\.axes\[\d+\]\.value$/) as string,
  });
});

test('every change can be undone and done again', () => {
  const room = new LotBench();
  room.showDemo();
  room.edit(0, { cavity: 9, time: 3 });
  room.leave('H-02', true);
  room.limit('axis', 'upper', 20.3);
  room.move(0, 1);
  room.remove(39);
  const after = lotText(room.lot);
  expect([room.lot.dice.length, room.judged.dice.length, room.lot.dice[1]!.label]).toEqual([39, 38, 'H-01']);
  for (let i = 0; i < 5; i++) room.undo();
  expect(lotText(room.lot)).toBe(text);
  for (let i = 0; i < 5; i++) room.redo();
  expect(lotText(room.lot)).toBe(after);
});

test('labels stay unlike each other, and a die left out stays out under its new name', () => {
  const room = new LotBench();
  room.showDemo();
  room.leave('H-01', true);
  room.edit(0, { label: 'H-02' });
  expect([room.lot.dice[0]!.label, room.leftOut]).toEqual(['H-02 (2)', ['H-02 (2)']]);
});

test('is kept, and comes back; what cannot be read stays where it is', async () => {
  const kept = new Map<string, KeptLot>();
  const shelf: RoomShelf<KeptLot> = {
    all: () => Promise.resolve([...kept].map(([id, data]) => ({ id, changed: 0, data }))),
    keep: (id, data) => void kept.set(id, data),
    remove: (id) => void kept.delete(id),
    onSecond: () => undefined,
  };
  const room = new LotBench();
  await room.keepOn(shelf);
  room.showDemo();
  room.leave('H-27', true);
  const again = new LotBench();
  await again.keepOn(shelf);
  expect([lotText(again.lot), again.leftOut]).toEqual([text, ['H-27']]);
  const [id] = [...kept.keys()];
  kept.set(id!, { ...kept.get(id!)!, lot: broken });
  const third = new LotBench();
  await third.keepOn(shelf);
  expect(third.lot.dice).toEqual([]);
  expect(kept.get(id!)!.lot).toBe(broken);
});

test.each([
  ['pdf', /^%PDF-1\.7/],
  ['html', /^<!doctype html>/],
  ['csv', /die,cavity,time h/],
] as const)('report as %s in the browser', async (form, begin) => {
  const { name, bytes } = await lotReport(form, demoLot(), demoLot(), analyseLot(demoLot()), null, 'de');
  expect(name).toMatch(new RegExp(`^evencast-lot-[0-9A-F]{10}\\.${form}$`));
  expect(await new Blob([bytes]).slice(0, 400).text()).toMatch(begin);
});

let host: HTMLElement;
let page: Record<string, unknown>;
beforeEach(() => {
  language.choose('en');
  host = document.createElement('main');
  document.body.append(host);
  page = mount(LotsRoom, { target: host });
});
afterEach(async () => {
  await unmount(page);
  host.remove();
});

const section = (id: string): HTMLElement => host.querySelector<HTMLElement>(`section:has(#${id})`)!;
const press = (name: string | RegExp): void => {
  [...host.querySelectorAll('button')]
    .find((b) => {
      const own = b.getAttribute('aria-label') ?? b.textContent?.trim() ?? '';
      return typeof name === 'string' ? own === name : name.test(own);
    })!
    .click();
};

test('the room: an invented lot, its findings, a die left out, limits, another language, no rule of axe-core broken', async () => {
  expect(host.textContent).toContain('No dice yet');
  press('Show an invented lot');
  await expect.poll(() => section('lot-findings')?.textContent).toContain('H-27 lies apart by its axis 4-17');
  expect(section('lot-components').querySelector('svg')!.getAttribute('aria-label')).toMatch(
    /mould: the same pattern on every die: 23\.7 \(21\.6 to 25\.8\), 45/,
  );
  expect(section('lot-control').textContent).toMatch(/Limit 1\.000.mm is met at 26\.8/);
  expect(section('lot-sampling').textContent).toContain('Code letter J: inspect 80, accept with 2 or fewer outside');
  press('Leave out H-27');
  await expect.poll(() => section('lot-findings').textContent).not.toContain('lies apart');
  expect(section('lot').textContent).toContain('39 of 40 dice');
  const upper = host.querySelector<HTMLInputElement>('[aria-label="range of axes, at most"]')!;
  upper.value = '0,05';
  upper.dispatchEvent(new Event('change', { bubbles: true }));
  await expect.poll(() => section('lot-sampling').textContent).toContain('Reject');
  upper.value = 'x';
  upper.dispatchEvent(new Event('change', { bubbles: true }));
  await expect.poll(() => section('lot-dice').textContent).toContain('A length in mm is needed');
  const { violations } = await axe.run(host);
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes[0]!.html}`)).toEqual([]);
  language.choose('de');
  await expect.poll(() => section('lot-sampling').textContent).toContain('Zurückweisen');
  expect(host.textContent).toContain('Kavitäten unterscheiden sich');
  press('Neues Los');
  await expect.poll(() => section('lot-dice')).toBeNull();
});
