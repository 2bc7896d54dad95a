import { keptSettings } from '../src/ui/kit/kept-settings.svelte.ts';
import axe from 'axe-core';
import { mount, unmount } from 'svelte';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { trueShape } from '../src/bias/die/die-shape.ts';
import { kernelPrediction, type Prediction } from '../src/bias/meaning/prediction.ts';
import { withAxis } from '../src/bias/meaning/what-if.ts';
import '../src/ui/app.css';
import { language } from '../src/ui/kit/language.svelte.ts';
import PlayPanel from '../src/ui/rolls/PlayPanel.svelte';

/** A d20 whose axis between its first face and that face's opposite is short by 1.5 %. */
function shortAxis(): Prediction {
  const base = trueShape('d20');
  const shape = withAxis(base, 0, 2 * base.distances[0]! * 0.985);
  const prediction = kernelPrediction({ shape, covariance: null }, 'unknown');
  if (!prediction.ok) throw new Error(prediction.error.code);
  return prediction.value;
}
const prediction = shortAxis();
/** Chance of one roll of at least `target`. */
const reach = (target: number): number =>
  prediction.names.reduce((s, name, i) => s + (Number(name) >= target ? prediction.p[i]! : 0), 0);

let host: HTMLElement;
let panel: Record<string, unknown>;
beforeEach(() => {
  // The choice is kept from one visit to the next: each test is a first one.
  keptSettings.set('roll-kind', 'plain');
  language.choose('en');
  host = document.createElement('main');
  host.style.width = '360px';
  document.body.append(host);
  panel = mount(PlayPanel, { target: host, props: { prediction } });
});
afterEach(async () => {
  language.choose('en');
  await unmount(panel);
  host.remove();
});

const read = (kind: string): void => {
  const select = host.querySelector('select')!;
  select.value = kind;
  select.dispatchEvent(new Event('change', { bubbles: true }));
};
/** Rows of the table: target, chance, its interval, an even die's; %. */
const rows = (): number[][] =>
  [...host.querySelectorAll('tbody tr')].map((row) =>
    [...row.children].map(({ textContent }) => Number.parseFloat(textContent ?? '')),
  );
const picture = (): SVGSVGElement => host.querySelector('svg')!;
const ONE = { plain: (q: number) => q, best: (q: number) => 1 - (1 - q) ** 2, worst: (q: number) => q * q };

test('the chance to reach each target with one roll, with advantage and with disadvantage', async () => {
  host.querySelector('details')!.open = true;
  await expect.poll(() => rows().length).toBe(20);
  for (const kind of ['plain', 'best', 'worst'] as const) {
    read(kind);
    await expect.poll(() => rows()[10]![4]).toBe(Number((100 * ONE[kind](0.5)).toFixed(2)));
    rows().forEach(([target, value, low, high, even], i) => {
      expect(target).toBe(i + 1);
      expect(value).toBeCloseTo(100 * ONE[kind](reach(target!)), 2);
      expect(even).toBeCloseTo(100 * ONE[kind]((21 - target!) / 20), 2);
      expect(low!).toBeLessThanOrEqual(value!);
      expect(high!).toBeGreaterThanOrEqual(value!);
    });
  }
});

test('criticals and a pool of ten are told in words', async () => {
  const said = (): string => host.textContent ?? '';
  const number = (pattern: RegExp): number => Number(pattern.exec(said())![1]);
  expect(number(/The highest, 20, one roll: (\d+\.\d+)/)).toBeCloseTo(100 * reach(20), 2);
  read('best');
  await expect.poll(said).toMatch(/The highest, 20, the better of two/);
  expect(number(/The highest, 20, the better of two: (\d+\.\d+)/)).toBeCloseTo(100 * (1 - (1 - reach(20)) ** 2), 2);
  // The lowest comes up with the better of two only where both show it.
  expect(number(/The lowest, 1, the better of two: (\d+\.\d+)/)).toBeCloseTo(100 * (1 - reach(2)) ** 2, 2);
  const target = number(/pool of 10 such dice that hit on (\d+) or more/);
  expect(Math.abs((21 - target) / 20 - 1 / 3)).toBeLessThan(0.03);
  expect(number(/or more: (\d+\.\d+) hits in the mean/)).toBeCloseTo(10 * reach(target), 2);
});

test('the picture says the same: a row for each target but the lowest, bars to the side and as long as the table has it', async () => {
  host.querySelector('details')!.open = true;
  await expect.poll(() => rows().length).toBe(20);
  for (const kind of ['plain', 'worst'] as const) {
    read(kind);
    await expect
      .poll(() => picture().getAttribute('aria-label'))
      .toMatch(kind === 'plain' ? /one roll/ : /the worse of two/);
    const names = [...picture().querySelectorAll('text.name')].map(({ textContent }) => textContent);
    expect(names).toEqual(Array.from({ length: 19 }, (_, i) => `${i + 2}+`));
    const zero = Number(picture().querySelector('line.zero')!.getAttribute('x1'));
    const dots = [...picture().querySelectorAll('circle')].map((c) => Number(c.getAttribute('cx')) - zero);
    const due = names.map((name) => {
      const q = reach(Number.parseInt(name!, 10));
      return 100 * (ONE[kind](q) - ONE[kind]((21 - Number.parseInt(name!, 10)) / 20));
    });
    const scale = Math.max(...dots.map(Math.abs)) / Math.max(...due.map(Math.abs));
    dots.forEach((x, i) => expect(x).toBeCloseTo(scale * due[i]!, 0));
  }
});

test('on a telephone nothing of the picture is cut off or laid over another, in both languages; no barrier', async () => {
  for (const tongue of ['en', 'de'] as const) {
    language.choose(tongue);
    await expect
      .poll(() => host.querySelector('h3')!.textContent)
      .toBe(tongue === 'en' ? 'At the table' : 'Am Spieltisch');
    const frame = host.getBoundingClientRect();
    const texts = [...picture().querySelectorAll('text')].map((t) => t.getBoundingClientRect());
    for (const box of texts) {
      expect(box.left).toBeGreaterThanOrEqual(frame.left - 1);
      expect(box.right).toBeLessThanOrEqual(frame.right + 1);
    }
    texts.forEach((a, i) =>
      texts.slice(i + 1).forEach((b) => {
        const over = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        expect(over > 1 && down > 4, `texts ${i}`).toBe(false);
      }),
    );
    expect(host.textContent).not.toMatch(/undefined|NaN/);
  }
  const { violations } = await axe.run(host, {
    rules: { region: { enabled: false }, 'page-has-heading-one': { enabled: false } },
  });
  expect(violations.map((v) => v.id)).toEqual([]);
});

test('an even die: nothing is changed, and the picture stays where it is', async () => {
  await unmount(panel);
  const even = kernelPrediction({ shape: trueShape('d6'), covariance: null }, 'unknown');
  if (!even.ok) throw new Error();
  panel = mount(PlayPanel, { target: host, props: { prediction: even.value } });
  host.querySelector('details')!.open = true;
  await expect.poll(() => rows().length).toBe(6);
  for (const [, value, , , same] of rows()) expect(value).toBeCloseTo(same!, 2);
  const dots = [...picture().querySelectorAll('circle')].map((c) => Number(c.getAttribute('cx')));
  expect(Math.max(...dots) - Math.min(...dots)).toBeLessThan(20);
});
