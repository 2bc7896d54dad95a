import type { Page } from 'playwright';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openMeasured } from './support/measured-die.ts';
import { settled, twoSeconds } from './support/page-time.ts';
import { servedPage, type ServedPage } from './support/served-page.ts';

/** Every field of every room, with a measured die, a lot and a printed card at hand: what stands in it two seconds after typing stands there again when the page is opened anew. */

const ROOMS = ['card', 'photos', 'shape', 'rolls', 'report', 'compare', 'lots', 'bin', 'check'] as const;
const FIELDS = ['input:not([type=file], [type=range])', 'textarea', 'select']
  .map((tag) => `main ${tag}:not([readonly], [disabled])`)
  .join(', ');
/** Fields that would put another die in the place of this one, and all else with it; which card is in use is chosen beside the photos too. */
const OTHER_DIE = /^(Kind of die|Die|in use)$/;
let served: ServedPage;
beforeAll(async () => {
  served = await servedPage();
});
afterAll(() => served.close());

interface Field {
  /** What it is under, what it is called, and which of those of that name. */
  readonly key: string;
  readonly value: string;
  /** Says itself that it does not take what stands there. */
  readonly refused: boolean;
}

/** Opens whatever is folded in the room. */
async function unfolded(page: Page): Promise<void> {
  for (let round = 0; round < 3; round++) {
    await page.evaluate(() => document.querySelectorAll('main details').forEach((d) => d.setAttribute('open', '')));
    await settled(page);
  }
}

const fieldsOf = (page: Page): Promise<Field[]> =>
  page.evaluate(
    ([selector, otherDie]) => {
      const seen = new Map<string, number>();
      const fields: Field[] = [];
      for (const e of document.querySelectorAll<HTMLInputElement | HTMLSelectElement>(selector!)) {
        if (e.getClientRects().length === 0) continue;
        const under =
          e.closest('fieldset')?.querySelector('legend') ??
          e.closest('section, details')?.querySelector('h2, h3, h4, summary');
        const label = e.labels?.[0]?.textContent ?? e.getAttribute('aria-label') ?? e.id;
        if (new RegExp(otherDie!).test(label.trim())) continue;
        const name = `${under?.textContent?.trim() ?? ''} / ${label.trim().replaceAll(/\s+/g, ' ')}`.slice(0, 90);
        seen.set(name, (seen.get(name) ?? 0) + 1);
        fields.push({
          key: `${name} ${seen.get(name)}`,
          value: e.type === 'checkbox' || e.type === 'radio' ? String((e as HTMLInputElement).checked) : e.value,
          refused: e.getAttribute('aria-invalid') === 'true',
        });
      }
      return fields;
    },
    [FIELDS, OTHER_DIE.source],
  );

/**
 * Types in every field of the room, those too that appear meanwhile, and leaves none of them: no event but those of typing and choosing.
 *
 * @returns All as they stand then.
 */
async function changed(page: Page): Promise<Field[]> {
  await page.evaluate(
    async ([selector, otherDie]) => {
      const done = new Set<Element>();
      const type = (e: HTMLInputElement | HTMLTextAreaElement, text: string): void => {
        const kind = e instanceof HTMLTextAreaElement ? HTMLTextAreaElement : HTMLInputElement;
        Object.getOwnPropertyDescriptor(kind.prototype, 'value')!.set!.call(e, text);
        e.dispatchEvent(new InputEvent('input', { bubbles: true }));
      };
      const change = (e: HTMLInputElement | HTMLSelectElement): void => {
        if ('options' in e) {
          const other = [...e.options].find((o) => !o.disabled && o.value !== '' && o.value !== e.value);
          if (other === undefined) return;
          e.value = other.value;
          for (const name of ['input', 'change']) e.dispatchEvent(new Event(name, { bubbles: true }));
        } else if (e.type === 'checkbox') e.click();
        else if (e.type === 'date') type(e, '2026-02-03');
        else if (e.type !== 'radio') {
          const whole = String(3 + (done.size % 5));
          if (e.inputMode === 'decimal') type(e, `${whole}.1250`);
          else type(e, e.type === 'number' || e.inputMode === 'numeric' ? whole : `entered ${done.size}`);
        }
      };
      // A row may be made anew with what is typed in it: there is an end to it all the same.
      while (done.size < 400) {
        const next = [...document.querySelectorAll<HTMLInputElement | HTMLSelectElement>(selector!)].find(
          (e) => !done.has(e) && e.getClientRects().length > 0,
        );
        if (next === undefined) break;
        done.add(next);
        const label = next.labels?.[0]?.textContent ?? next.getAttribute('aria-label') ?? next.id;
        if (!new RegExp(otherDie!).test(label.trim())) change(next);
        await new Promise((resolve) => setTimeout(resolve, 20));
      }
    },
    [FIELDS, OTHER_DIE.source],
  );
  await settled(page);
  return fieldsOf(page);
}

const goTo = async (page: Page, hash: string): Promise<void> => {
  await page.evaluate((to) => (location.hash = to), hash);
  await page.locator('main h2').first().waitFor();
  await unfolded(page);
};
const kept = (page: Page): Promise<string | undefined> => page.evaluate(() => document.documentElement.dataset['kept']);

test('every field of every room stands as it was typed when the page is opened anew', async () => {
  const context = await served.visitor();
  const opened = async (): Promise<Page> => {
    const page = await context.newPage();
    await page.goto(served.url);
    await page.locator('main h2').first().waitFor();
    return page;
  };
  let page = await opened();
  await openMeasured(page, served);
  await goTo(page, '#/lots');
  await page.getByRole('button', { name: 'Show an invented lot' }).click();
  await goTo(page, '#/card');
  await page.getByRole('button', { name: 'Add a printed card' }).click();

  const typed = new Map<string, { readonly hash: string; readonly fields: readonly Field[] }>();
  for (const room of ROOMS) {
    await goTo(page, `#/${room}`);
    const fields = await changed(page);
    // What shows a thing chosen in the address is there again at that address.
    typed.set(room, { hash: await page.evaluate(() => location.hash), fields });
  }
  await twoSeconds(page);
  expect(await kept(page)).toBe('true');
  await page.close();

  page = await opened();
  let count = 0;
  for (const [room, { hash, fields }] of typed) {
    await goTo(page, hash);
    count += fields.length;
    const lost = async (): Promise<string[]> => {
      const again = new Map((await fieldsOf(page)).map(({ key, value }) => [key, value]));
      return fields.flatMap(({ key, value, refused }) =>
        refused || again.get(key) === value ? [] : [`${room}: ${key}: ${value}, there is ${again.get(key)}`],
      );
    };
    // What a room works out first may show its fields a moment later.
    await expect.poll(lost).toEqual([]);
  }
  expect(count).toBeGreaterThan(150);
  await context.close();
});
