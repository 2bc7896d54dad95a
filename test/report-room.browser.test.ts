import axe from 'axe-core';
import { mount, unmount } from 'svelte';
import * as v from 'valibot';
import { afterEach, beforeAll, beforeEach, expect, test, vi } from 'vitest';
import { success } from '../src/result.ts';
import { htmlReport } from '../src/report/forms/html-report.ts';
import { reportRecord } from '../src/report/record/record.ts';
import '../src/ui/app.css';
import ReportRoom from '../src/ui/report/ReportRoom.svelte';
import { DieSet } from '../src/ui/store/die-set.svelte.ts';
import type { RoomShelf } from '../src/ui/store/kept-rooms.ts';
import { language } from '../src/ui/kit/language.svelte.ts';
import { KEPT_REPORT, ReportEntries, type KeptReport } from '../src/ui/report/report-entries.svelte.ts';
import { bench, keeper } from '../src/ui/store/the-bench.ts';
import { madeResult } from './support/made-result.ts';
import { MADE_INPUT } from './support/report-digest.ts';

let room: object;
// As the page does: a report waits for the store, which may hold readings by other instruments.
beforeAll(() => keeper.start('report-room-test'));
beforeEach(() => {
  // Another file's tests may have kept another choice.
  language.choose('en');
  const set = new DieSet();
  set.outcome = { job: set.job, measured: success(madeResult('d6')) };
  bench.set = set;
  room = mount(ReportRoom, { target: document.body });
});
afterEach(async () => {
  await unmount(room);
  language.choose('en');
  bench.set = new DieSet();
});

const paper = (): HTMLElement => document.querySelector<HTMLElement>('.paper')!;
const field = (label: string): HTMLInputElement | null | undefined =>
  [...document.querySelectorAll('label')].find((l) => l.textContent === label)?.parentElement?.querySelector('input');
async function type(label: string, text: string): Promise<void> {
  await waited(() => expect(field(label)).toBeTruthy());
  const input = field(label)!;
  input.value = text;
  input.dispatchEvent(new Event('input', { bubbles: true }));
}
const waited = (check: () => void): Promise<void> => vi.waitFor(check, { timeout: 60_000 });

test('the preview follows limits and names; what is typed is text', async () => {
  await waited(() => expect(paper()?.textContent).toContain('Not judged'));
  await type('Range of axes, at most', '0,5');
  await waited(() => expect(paper().querySelector('.verdict')?.textContent).toMatch(/^Pass/));
  await type('Mean axis, from', '20');
  await waited(() => expect(paper().querySelector('.verdict')?.textContent).toMatch(/^Fail.*mean axis/));
  await type('Which die', '<img src=x onerror=alert(1)>');
  await waited(() => expect(paper().textContent).toContain('<img src=x onerror=alert(1)>'));
  expect(paper().querySelector('img')).toBeNull();
  await type('Range of axes, at most', 'much');
  await waited(() => expect(field('Range of axes, at most')?.getAttribute('aria-invalid')).toBe('true'));
});

test('a report opened is checked, and one changed is told, in both languages', async () => {
  const html = htmlReport(reportRecord(MADE_INPUT), 'buyer');
  const choose = (bytes: Uint8Array): void => {
    const input = document.querySelector<HTMLInputElement>('input[accept=".pdf,.html,.htm,.json"]')!;
    const files = new DataTransfer();
    files.items.add(new File([bytes as BlobPart], 'a.html'));
    input.files = files.files;
    input.dispatchEvent(new Event('change', { bubbles: true }));
  };
  choose(html);
  await waited(() => expect(document.querySelectorAll('.checks .good')).toHaveLength(3));
  const changed = new TextEncoder().encode(
    new TextDecoder().decode(html).replace('Mean axis', 'Main axis').replace('The mean', 'The main'),
  );
  choose(changed);
  await waited(() => expect(document.querySelector('.checks .bad')?.textContent).toContain('was changed'));
  language.choose('de');
  await waited(() => expect(document.querySelector('.checks .bad')?.textContent).toContain('wurde verändert'));
});

test('words of one die stay with it, others serve all, and both are kept', async () => {
  const kept: KeptReport[] = [];
  const shelf: RoomShelf<KeptReport> = {
    all: () => Promise.resolve(kept.slice(-1).map((data) => ({ id: 'a', changed: 0, data }))),
    keep: (_, data) => void kept.push(v.parse(KEPT_REPORT, JSON.parse(JSON.stringify(data)))),
    remove: () => undefined,
    onSecond: () => undefined,
  };
  const first = new ReportEntries();
  await first.keepOn(shelf);
  first.belongTo('one');
  first.about.die = 'walnut';
  first.about.measuredBy = 'a tester';
  first.fillIn('moulded');
  first.belongTo('two');
  expect([first.about.die, first.about.measuredBy]).toEqual(['', 'a tester']);
  first.about.note = 'of two';
  first.keep();
  const second = new ReportEntries();
  second.belongTo('two');
  await second.keepOn(shelf);
  expect([second.about.note, second.about.measuredBy, second.limits['range.high']]).toEqual([
    'of two',
    'a tester',
    '0.05',
  ]);
  second.belongTo('one');
  expect([second.about.die, second.about.note]).toEqual(['walnut', '']);
  expect(second.tolerance).toMatchObject({ range: { low: null, high: 0.05 }, size: null });
});

test('has no fault that axe finds', async () => {
  await waited(() => expect(paper().querySelector('.verdict')).not.toBeNull());
  const { violations } = await axe.run(document.body, {
    rules: {
      region: { enabled: false },
      'page-has-heading-one': { enabled: false },
      'document-title': { enabled: false },
      'html-has-lang': { enabled: false },
    },
  });
  expect(violations.map((found) => `${found.id}: ${found.nodes.map((n) => n.html).join()}`)).toEqual([]);
});
