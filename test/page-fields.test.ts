import type { Page } from 'playwright';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { servedPage, type ServedPage } from './support/served-page.ts';

/** Every field of every room, with a measured die, a lot and a printed card at hand: what stands in it two seconds after typing stands there again when the page is opened anew. */

const ROOMS = ['card', 'photos', 'shape', 'rolls', 'report', 'compare', 'lots', 'bin', 'check'] as const;
const FIELDS = ['input:not([type=file], [type=range])', 'textarea', 'select']
  .map((tag) => `main ${tag}:not([readonly], [disabled])`)
  .join(', ');
/** Fields that would put another die in the place of this one, and all else with it. */
const OTHER_DIE = /^(Photos|Die).*Kind|\/ Die \d|Kind of die/;
const PROMISE = 2000;

let served: ServedPage;
beforeAll(async () => {
  served = await servedPage();
});
afterAll(() => served.close());

interface Field {
  /** What it is under, what it is called, and which of those of that name. */
  readonly key: string;
  readonly kind: string;
  readonly value: string;
  readonly numeric: boolean;
  /** Another choice that it has; null where it is none, or has but one. */
  readonly other: string | null;
  /** Says itself that it does not take what stands there. */
  readonly refused: boolean;
}

/** Opens whatever is folded in the room. */
async function unfolded(page: Page): Promise<void> {
  for (let round = 0; round < 3; round++) {
    await page.evaluate(() => document.querySelectorAll('main details').forEach((d) => d.setAttribute('open', '')));
    await page.waitForTimeout(250);
  }
}

const fieldsOf = (page: Page): Promise<Field[]> =>
  page.evaluate((selector) => {
    const seen = new Map<string, number>();
    const fields: Field[] = [];
    for (const e of document.querySelectorAll<HTMLInputElement | HTMLSelectElement>(selector)) {
      if (e.getClientRects().length === 0) continue;
      const under =
        e.closest('fieldset')?.querySelector('legend') ??
        e.closest('section, details')?.querySelector('h2, h3, h4, summary');
      const label = e.labels?.[0]?.textContent ?? e.getAttribute('aria-label') ?? e.id;
      const name = `${under?.textContent?.trim() ?? ''} / ${label.trim().replaceAll(/\s+/g, ' ')}`.slice(0, 90);
      seen.set(name, (seen.get(name) ?? 0) + 1);
      const options = 'options' in e ? [...e.options].filter((o) => !o.disabled && o.value !== '') : [];
      fields.push({
        key: `${name} ${seen.get(name)}`,
        kind: e.tagName === 'SELECT' ? 'select' : e.type,
        value: e.type === 'checkbox' || e.type === 'radio' ? String((e as HTMLInputElement).checked) : e.value,
        numeric: e.type === 'number' || /decimal|numeric/.test(e.inputMode),
        other: options.find((o) => o.value !== e.value)?.value ?? null,
        refused: e.getAttribute('aria-invalid') === 'true',
      });
    }
    return fields;
  }, FIELDS);

/** Changes every field of the room, those too that appear meanwhile. @returns All as they stand then. */
async function changed(page: Page): Promise<Field[]> {
  const done = new Set<string>();
  for (;;) {
    const fields = await fieldsOf(page);
    const at = fields.findIndex(({ key }) => !done.has(key));
    if (at < 0) return fields;
    const { key, kind, value, numeric, other } = fields[at]!;
    done.add(key);
    if (OTHER_DIE.test(key)) continue;
    const field = page.locator(FIELDS).filter({ visible: true }).nth(at);
    if (kind === 'select') {
      if (other !== null) await field.selectOption(other);
    } else if (kind === 'checkbox') await field.setChecked(value !== 'true');
    else if (kind === 'date') await field.fill('2026-02-03');
    else if (kind !== 'radio') {
      await field.fill('');
      await field.pressSequentially(numeric ? String(3 + (done.size % 5)) : `entered ${done.size}`);
    }
  }
}

const goTo = async (page: Page, hash: string): Promise<void> => {
  await page.evaluate((to) => (location.hash = to), hash);
  await page.locator('main h2').first().waitFor();
  await unfolded(page);
};
const kept = (page: Page): Promise<string | undefined> => page.evaluate(() => document.documentElement.dataset['kept']);

test('every field of every room stands as it was typed when the page is opened anew', async () => {
  const context = await served.browser.newContext({ locale: 'en-GB', serviceWorkers: 'block' });
  const opened = async (): Promise<Page> => {
    const page = await context.newPage();
    page.setDefaultTimeout(60_000);
    await page.goto(served.url);
    await page.locator('main h2').first().waitFor();
    return page;
  };
  let page = await opened();
  await page.getByRole('button', { name: /sample d6/ }).click();
  await page.getByRole('heading', { name: 'Result', exact: true }).waitFor();
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
  await page.waitForTimeout(PROMISE);
  expect(await kept(page)).toBe('true');
  await page.close();

  page = await opened();
  const lost: string[] = [];
  let count = 0;
  for (const [room, { hash, fields }] of typed) {
    await goTo(page, hash);
    const again = new Map((await fieldsOf(page)).map(({ key, value }) => [key, value]));
    for (const { key, value, refused } of fields) {
      count++;
      if (!refused && again.get(key) !== value) lost.push(`${room}: ${key}: ${value}, there is ${again.get(key)}`);
    }
  }
  expect(lost).toEqual([]);
  expect(count).toBeGreaterThan(150);
  await context.close();
}, 240_000);
