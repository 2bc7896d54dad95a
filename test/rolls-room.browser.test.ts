import { mount, unmount } from 'svelte';
import { afterEach, beforeEach, expect, test } from 'vitest';
import '../src/ui/app.css';
import RollsRoom from '../src/ui/rolls/RollsRoom.svelte';
import { trueRecord } from '../src/ui/rolls/rolls-source.svelte.ts';
import { language } from '../src/ui/kit/language.svelte.ts';

let host: HTMLElement;
let room: Record<string, unknown>;
beforeEach(() => {
  language.choose('en');
  host = document.createElement('main');
  document.body.append(host);
  room = mount(RollsRoom, { target: host });
});
afterEach(async () => {
  await unmount(room);
  host.remove();
});

const select = (label: string): HTMLSelectElement => {
  const found = [...host.querySelectorAll('label')].find(({ textContent }) => textContent === label)!;
  return document.getElementById(found.htmlFor) as HTMLSelectElement;
};
const choose = (label: string, value: string): void => {
  select(label).value = value;
  select(label).dispatchEvent(new Event('change', { bubbles: true }));
};
const open = (name: string, content: string): void => {
  const input = host.querySelector<HTMLInputElement>('input[type=file][accept*=json]')!;
  const files = new DataTransfer();
  files.items.add(new File([content], name, { type: 'application/json' }));
  input.files = files.files;
  input.dispatchEvent(new Event('change', { bubbles: true }));
};
const chances = (): string[] =>
  [...(host.querySelector('section:has(#rolls)')?.querySelectorAll('tbody tr') ?? [])].map(
    (row) => row.querySelector('td')!.textContent!,
  );

test('without a measured die: says so, and offers true ones of every kind', async () => {
  expect(host.textContent).toMatch(/No die is measured yet/);
  for (const [kind, faces] of [
    ['d4', 4],
    ['d10', 10],
    ['d20', 20],
  ] as const) {
    choose('Die', kind);
    await expect.poll(chances).toEqual(Array<string>(faces).fill((100 / faces).toFixed(2)));
  }
  // A d4 cannot be stacked; what was typed for another die stays with it.
  choose('Die', 'd4');
  await expect.poll(() => host.textContent).toMatch(/it cannot be stacked/);
});

test('opens a result file, and says what is none', async () => {
  const d6 = trueRecord('d6') as { faces: { name: string; distance: number }[] };
  const faces = d6.faces.map((f) => (f.name === '1' || f.name === '6' ? { ...f, distance: 9.4 } : f));
  open('short.json', JSON.stringify({ ...d6, faces }));
  await expect.poll(() => [...select('Die').options].map(({ textContent }) => textContent)).toContain('short.json');
  await expect.poll(() => Math.floor(Number(chances()[0]))).toBe(17);
  open('notes.json', 'rolled a lot today');
  await expect.poll(() => host.textContent).toMatch(/notes\.json is no result file/);
  expect(Number(chances()[0])).toBeGreaterThan(17);
  open('coin.json', '{"die":{"kind":"coin"},"faces":[]}');
  await expect.poll(() => host.textContent).toMatch(/Coins, barrels and rods are refused/);
  choose('Die', 'd6');
  await expect.poll(() => chances()[0]).toBe('16.67');
});
