import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { BrowserContext, Page } from 'playwright';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { seededRandom } from '../src/maths/random.ts';
import { bringIn, openMeasured, savedDie } from './support/measured-die.ts';
import { twoSeconds } from './support/page-time.ts';
import { WHOLE } from './support/share.ts';
import { servedPage, type ServedPage } from './support/served-page.ts';

const samples = join(import.meta.dirname, '../samples/d6');
/** Tabs that the gate ends; `npm run bench -- kills` ends hundreds, in all rooms. */
const MOMENTS = WHOLE ? 20 : 8;
const NAMES = ['01-1.jpg', '02-2.jpg', '03-3.jpg', '04-6.jpg'];

let served: ServedPage;
beforeAll(async () => {
  served = await servedPage();
});
afterAll(() => served.close());

const visitor = (): Promise<BrowserContext> => served.visitor();
const button = (page: Page, name: string | RegExp) => page.getByRole('button', { name });

async function opened(context: BrowserContext, room = 'photos'): Promise<Page> {
  const page = await context.newPage();
  await page.goto(`${served.url}#/${room}`);
  await page.locator('main h2').first().waitFor();
  return page;
}

const kept = (page: Page): Promise<unknown> =>
  page.waitForFunction(() => document.documentElement.dataset['kept'] === 'true');

/** @param told  With the file that says which numbers the photos show: their faces alone do not tell all of them. */
async function give(page: Page, names: readonly string[], told = false): Promise<void> {
  const files = [...names, ...(told ? ['job.json'] : [])].map(async (name) => ({
    name,
    mimeType: name.endsWith('.json') ? 'application/json' : 'image/jpeg',
    buffer: await readFile(join(samples, name)),
  }));
  await page.getByLabel('Add photos').setInputFiles(await Promise.all(files));
  await page.getByRole('button', { name: `Leave out ${names.at(-1)}` }).waitFor();
}

/** Photos whose numbers a person has said: what is read of them meanwhile changes nothing that is seen. */
async function giveSaid(page: Page, names: readonly string[]): Promise<void> {
  await give(page, names);
  for (const name of names) {
    await page.getByLabel(`Up, ${name}`).selectOption('1');
    await page.getByLabel(`Front, ${name}`).selectOption('2');
  }
}

/** What a person sees of a die: its name, its photos with their numbers, and which are left out. */
const seen = (page: Page): Promise<string> =>
  page.evaluate(() => {
    const name = document.querySelector<HTMLInputElement>('#die-name')!.value;
    const rows = [...document.querySelectorAll('section:has(#photos) ol > li')].map((row) => {
      const numbers = [...row.querySelectorAll('select')].map(({ value }) => value).join(' ');
      return `${row.querySelector('.name')!.textContent} ${numbers}${row.classList.contains('off') ? ' off' : ''}`;
    });
    return [name, ...rows].join('; ');
  });

const pressIfThere = (page: Page, name: string): Promise<void> =>
  page.evaluate((text) => {
    for (const each of document.querySelectorAll('button')) if (each.textContent?.trim() === text) each.click();
  }, name);

/** Kept records that the page cannot read; none, whatever happened. */
const unreadable = (page: Page): Promise<number> => page.getByText('cannot be read by this version').count();

/** Ends a tab as a crash does, or as its closing does. */
async function kill(context: BrowserContext, page: Page, crash: boolean): Promise<void> {
  if (!crash) return page.close();
  const session = await context.newCDPSession(page);
  const gone = page.waitForEvent('crash');
  // The answer never comes: who should give it is gone.
  void session.send('Page.crash').catch(() => undefined);
  await gone;
  await page.close();
}

describe('whatever is entered', () => {
  test('is there again after the tab ends at random moments: all that was kept, and nothing by half', async () => {
    const random = seededRandom(20);
    const pick = (n: number): number => Math.floor(random() * n);
    const context = await visitor();
    let page = await opened(context);
    // Two suffice, and leave the machine to the tabs.
    const names = NAMES.slice(0, 2);
    await giveSaid(page, names);
    for (let moment = 0; moment < MOMENTS; moment++) {
      const before = await seen(page);
      const name = names[pick(2)]!;
      const kind = pick(4);
      if (kind === 0) await page.locator('#die-name').fill(`weight no. ${moment}`);
      if (kind === 1) await button(page, /^(Leave out|Put back) 02-2.jpg$/).click();
      if (kind === 2) await page.getByLabel(`Up, ${name}`).selectOption(String(1 + pick(6)), { force: true });
      if (kind === 3) await button(page, /^\s*Measure/).click();
      const entered = await seen(page);
      // Two of four tabs end once all is kept, the others at any time.
      const waited = moment % 4 < 2;
      await (waited ? kept(page) : page.waitForTimeout(pick(3) * pick(120)));
      const wasKept = waited || (await page.evaluate(() => document.documentElement.dataset['kept'] === 'true'));
      await kill(context, page, moment % 2 === 0);
      page = await opened(context);
      // A write takes some milliseconds: what it was of is there or is not, never by half.
      const may = wasKept ? [entered] : [before, entered];
      await expect
        .poll(() => seen(page), { message: `moment ${moment}` })
        .toSatisfy((now: string) => may.includes(now));
      // What goes on from the tab before would slow the next ones.
      await pressIfThere(page, 'Cancel');
    }
    await page.evaluate(() => (location.hash = '#/'));
    await page.getByRole('heading', { name: 'Kept on this device' }).waitFor();
    expect(await unreadable(page)).toBe(0);
    await context.close();
  });

  test('within the milliseconds before a crash is there or is not, never by half', async () => {
    const context = await visitor();
    let page = await opened(context);
    await giveSaid(page, NAMES.slice(0, 2));
    await kept(page);
    for (const wait of WHOLE ? [0, 0, 1, 2, 4, 8] : [0, 2, 8]) {
      const before = await seen(page);
      const session = await context.newCDPSession(page);
      const gone = page.waitForEvent('crash');
      // Name and photo change in one turn, then the tab is gone before anybody could wait for anything.
      const expression = `document.querySelector('[aria-label$=" 02-2.jpg"][aria-label^="Leave"], [aria-label^="Put back 02-2"]').click();
        { const field = document.querySelector('#die-name'); field.value += 'x'; field.dispatchEvent(new Event('input')); }`;
      void session.send('Runtime.evaluate', { expression }).catch(() => undefined);
      await new Promise((resolve) => setTimeout(resolve, wait));
      void session.send('Page.crash').catch(() => undefined);
      await gone;
      await page.close();
      page = await opened(context);
      const [name, ...photos] = before.split('; ');
      const last = photos.at(-1)!;
      const other = last.endsWith(' off') ? last.slice(0, -4) : `${last} off`;
      const entered = [`${name}x`, ...photos.slice(0, -1), other].join('; ');
      await expect.poll(() => seen(page)).toSatisfy((now: string) => now === before || now === entered);
    }
    await context.close();
  });

  test('goes on being measured when the tab ended meanwhile, and its result is there the next time', async () => {
    const context = await visitor();
    // The tab that ends has nobody who measures: it ends before it has a result, however fast the machine.
    const measuring = '**/vision.worker-*.js';
    let wanted = 0;
    await context.route(measuring, () => void wanted++);
    const page = await opened(context);
    await give(page, NAMES, true);
    await button(page, /^\s*Measure/).click();
    await page.getByRole('progressbar').first().waitFor();
    await expect.poll(() => wanted).toBeGreaterThan(0);
    await kept(page);
    await kill(context, page, true);
    await context.unroute(measuring);
    const again = await opened(context);
    await again.getByRole('heading', { name: 'Result', exact: true }).waitFor();
    await again.locator('dl .value').first().waitFor();
    const figures = await again.locator('dl .value').allTextContents();
    await kept(again);
    await again.close();
    const third = await opened(context, 'shape');
    await third.locator('dl .value').first().waitFor();
    await expect.poll(() => third.locator('dl .value').allTextContents()).toEqual(figures);
    await context.close();
  });

  test('can be undone and redone, step by step', async () => {
    const context = await visitor();
    const page = await opened(context);
    // Files of which nothing can be read meanwhile.
    const files = NAMES.slice(0, 2).map((name) => ({ name, mimeType: 'image/jpeg', buffer: Buffer.from('no photo') }));
    await page.getByLabel('Add photos').setInputFiles(files);
    await page.getByText('Not usable').nth(1).waitFor();
    const states = [await seen(page)];
    const step = async (act: () => Promise<unknown>): Promise<void> => {
      await act();
      states.push(await seen(page));
    };
    await step(() => page.locator('#die-name').fill('lead'));
    await step(() => button(page, 'Leave out 01-1.jpg').click());
    await step(() => page.getByLabel('Up, 02-2.jpg').selectOption('5'));
    await step(() => page.getByLabel('Kind of die').selectOption('d8'));
    for (const state of states.slice(0, -1).reverse()) {
      await button(page, /^Undo: /).click();
      await expect.poll(() => seen(page)).toBe(state);
    }
    await button(page, 'Undo: photos').click();
    await page.getByText('No photos yet').waitFor();
    await page.locator('#photos').click();
    for (const state of states) {
      await page.keyboard.press('Control+Shift+Z');
      await expect.poll(() => seen(page)).toBe(state);
    }
    await kept(page);
    await page.close();
    const again = await opened(context);
    await expect.poll(() => seen(again)).toBe(states.at(-1));
    await context.close();
  });
});

describe('two tabs', () => {
  test('have a die each, show what the other keeps, and do not open what the other has open', async () => {
    const context = await visitor();
    const first = await opened(context);
    await give(first, NAMES.slice(0, 1));
    await first.locator('#die-name').fill('mine');
    await kept(first);
    const second = await opened(context);
    // It does not take the first one's die.
    expect(await seen(second)).toBe('');
    await give(second, NAMES.slice(1, 2));
    await second.locator('#die-name').fill('theirs');
    await kept(second);
    await first.evaluate(() => (location.hash = '#/'));
    await first.getByText('theirs').first().waitFor();
    await button(first, 'Open theirs').click();
    await first.getByText('This die is open in another tab').waitFor();
    await second.close();
    // The browser gives a closed tab's lock back in its own time.
    await vi.waitFor(
      async () => {
        const open = button(first, 'Leave out 02-2.jpg');
        if (!(await open.isVisible())) await button(first, 'Open theirs').click({ timeout: 2000 });
        await open.waitFor({ timeout: 2000 });
      },
      { timeout: 60_000, interval: 200 },
    );
    await context.close();
  });

  test('that change the same card keep both', async () => {
    const context = await visitor();
    const first = await opened(context, 'card');
    await button(first, 'Add a printed card').click();
    await kept(first);
    const second = await opened(context, 'card');
    const bar = (page: Page) => page.getByLabel('Bar X').first();
    await bar(second).waitFor();
    // Written under the other's eyes, before it can hear of it.
    await Promise.all([bar(first).fill('100.1'), bar(second).fill('100.2')]);
    await kept(first);
    await kept(second);
    const third = await opened(context, 'card');
    await bar(third).waitFor();
    const lengths = await third
      .getByLabel('Bar X')
      .evaluateAll((bars) => bars.map((b) => (b as HTMLInputElement).value));
    // Both stand, or one of them was typed over the other's, seen: never is one gone that its tab still shows.
    const shown = await Promise.all([first, second].map((page) => bar(page).inputValue()));
    for (const length of shown) expect(lengths).toContain(length);
    await context.close();
  });

  test('that change the same lot keep both, and each can be opened again', async () => {
    const context = await visitor();
    const first = await opened(context, 'lots');
    await button(first, 'Show an invented lot').click();
    await kept(first);
    const second = await opened(context, 'lots');
    const [name, note] = [first.getByLabel('Name of the lot'), second.getByLabel('Note', { exact: true })];
    await note.waitFor();
    await Promise.all([name.fill('tumbled twice'), note.fill('with corn cob')]);
    await kept(first);
    await kept(second);
    // What each tab types further goes on in its own lot: no third one comes of it.
    await Promise.all([name.fill('tumbled three times'), note.fill('with walnut shells')]);
    await kept(first);
    await kept(second);
    const third = await opened(context, 'lots');
    await third.getByText('1 other lot is kept').click();
    const seenThere = async (): Promise<string> =>
      `${await third.getByLabel('Name of the lot').inputValue()}, ${await third.getByLabel('Note', { exact: true }).inputValue()}`;
    const here = await seenThere();
    await third.getByRole('button', { name: /^Open “/ }).click();
    await expect.poll(seenThere).not.toBe(here);
    const both = [here, await seenThere()].join('; ');
    expect(both).toContain('tumbled three times');
    expect(both).toContain('with walnut shells');
    await context.close();
  });
});

describe('what is typed in other rooms', () => {
  /** Closes the tab with the cursor still in the field that was typed in last, two seconds after the last letter. */
  const closedAfterTyping = async (page: Page): Promise<void> => {
    await twoSeconds(page);
    expect(await page.evaluate(() => document.documentElement.dataset['kept'])).toBe('true');
    await page.close();
  };

  test('is there again though no field was left: a lot and the rolls of a die', async () => {
    const context = await visitor();
    let page = await opened(context, 'lots');
    await button(page, 'Show an invented lot').click();
    const lot = { 'Name of the lot': 'tumbled in May', Note: 'with corn cob' };
    for (const [label, text] of Object.entries(lot)) {
      await page.getByLabel(label, { exact: true }).click();
      await page.keyboard.press('ControlOrMeta+a');
      await page.keyboard.type(text);
    }
    await closedAfterTyping(page);
    page = await opened(context, 'lots');
    for (const [label, text] of Object.entries(lot))
      await expect.poll(() => page.getByLabel(label, { exact: true }).inputValue()).toBe(text);
    await page.evaluate(() => (location.hash = '#/rolls'));
    await page.getByLabel('Die', { exact: true }).last().selectOption('d6');
    const heights = page.getByLabel(/^Measured height/);
    await heights.first().fill('161.2');
    await heights.last().fill('160.9');
    await closedAfterTyping(page);
    page = await opened(context, 'rolls');
    const again = page.getByLabel(/^Measured height/);
    await expect.poll(() => again.first().inputValue()).toBe('161.2');
    await expect.poll(() => again.last().inputValue()).toBe('160.9');
    await context.close();
  });
});

test('a full disk is told, nothing is lost, and trying again keeps it', async () => {
  const context = await visitor();
  const page = await opened(context);
  await page.evaluate(() => {
    const { put } = IDBObjectStore.prototype;
    const state = globalThis as { full?: boolean };
    state.full = true;
    IDBObjectStore.prototype.put = function (this: IDBObjectStore, ...args: Parameters<typeof put>) {
      if (state.full === true && this.name === 'photos') throw new DOMException('full', 'QuotaExceededError');
      return put.apply(this, args);
    };
  });
  await giveSaid(page, NAMES.slice(0, 2));
  await page.getByText('2 photos are not kept yet').waitFor();
  await page.locator('#die-name').fill('full of lead');
  await button(page, 'Leave out 02-2.jpg').click();
  await page.evaluate(() => ((globalThis as { full?: boolean }).full = false));
  // A write that was under way when the disk was cleared may fail still, or be the one that keeps all: the button is then gone.
  await expect
    .poll(async () => {
      await pressIfThere(page, 'Try again');
      return page.getByText('not kept yet').count();
    })
    .toBe(0);
  await kept(page);
  const before = await seen(page);
  await page.close();
  const again = await opened(context);
  await expect.poll(() => seen(again)).toBe(before);
  expect(before).toMatch(/^full of lead; 01-1\.jpg .*; 02-2\.jpg .* off$/);
  await context.close();
});

test('a browser that keeps nothing is told so, and the page works all the same', async () => {
  const context = await visitor();
  await context.addInitScript(() => {
    IDBFactory.prototype.open = () => {
      throw new DOMException('no storage in this window', 'InvalidStateError');
    };
  });
  const page = await opened(context, '');
  await page
    .getByText('The browser keeps nothing for this page: it allows no storage here, as in a private window.')
    .waitFor();
  await button(page, /sample d6/).click();
  await page.getByRole('heading', { name: 'Result', exact: true }).waitFor();
  await page.evaluate(() => (location.hash = '#/photos'));
  await button(page, 'Leave out 04-6.jpg').click();
  await button(page, 'Undo: photo left out').click();
  await button(page, 'Leave out 04-6.jpg').waitFor();
  await context.close();
});

test('a die goes out as a file and comes back as another, photos and result with it', async () => {
  const context = await visitor();
  const page = await opened(context, '');
  await openMeasured(page, served);
  await page.locator('dl .value').first().waitFor();
  const figures = await page.locator('dl .value').allTextContents();
  const file = await savedDie(page);
  const elsewhere = await visitor();
  const other = await opened(elsewhere, '');
  const broken = Buffer.from(file);
  broken[Math.floor(broken.length / 2)]! ^= 1;
  await bringIn(other, broken);
  await other.getByText(/The file was not brought in: photos\/.*checksum/).waitFor();
  await other.getByText('No die is kept yet').waitFor();
  await bringIn(other, file);
  await other.getByText('One die was brought in').waitFor();
  await button(other, 'Open unnamed d6').click();
  await other.getByRole('heading', { name: 'Result', exact: true }).waitFor();
  await expect.poll(() => other.locator('dl .value').allTextContents()).toEqual(figures);
  await Promise.all([context.close(), elsewhere.close()]);
});

/** Drops files on the page, wherever it is. */
const drop = (page: Page, name: string): Promise<void> =>
  page.evaluate((fileName) => {
    const dataTransfer = new DataTransfer();
    dataTransfer.items.add(new File(['no photo'], fileName));
    document.body.dispatchEvent(new DragEvent('drop', { dataTransfer, bubbles: true, cancelable: true }));
  }, name);

describe('photos go to the die that they are of', () => {
  test('a cleared bench stays cleared when the page is opened anew, and what is dropped then is a new die', async () => {
    const context = await visitor();
    const page = await opened(context);
    await give(page, NAMES.slice(0, 1));
    await button(page, 'New die').click();
    await page.getByText('No photos yet').waitFor();
    await kept(page);
    await page.reload();
    await page.getByText('No photos yet').waitFor();
    await drop(page, 'other.jpg');
    await button(page, 'Leave out other.jpg').waitFor();
    expect(await page.getByText(NAMES[0]!, { exact: true }).count()).toBe(0);
    await page.evaluate(() => (location.hash = '#/'));
    await button(page, /^Open/).waitFor();
    await context.close();
  });

  test('with a measured die on the bench, a drop asks; the address brings back what was chosen of the die', async () => {
    const context = await visitor();
    const page = await opened(context, '');
    await openMeasured(page, served);
    await page.goto(`${served.url}#/shape?axis=2-5&trace=corner+1-2-3`);
    await page.reload();
    await page.locator('button[aria-pressed=true]', { hasText: '2-5' }).waitFor();
    expect(new URL(page.url()).hash).toBe('#/shape?axis=2-5&trace=corner+1-2-3');
    await drop(page, 'dropped.jpg');
    await button(page, 'Neither').click();
    await drop(page, 'dropped.jpg');
    await button(page, 'This die (d6)').click();
    await button(page, 'Leave out dropped.jpg').waitFor();
    expect(await page.locator('section:has(#photos) ol > li').count()).toBe(5);
    await page.evaluate(() => (location.hash = '#/'));
    await drop(page, 'second.jpg');
    await button(page, 'A new die').click();
    await button(page, 'Leave out second.jpg').waitFor();
    expect(await page.locator('section:has(#photos) ol > li').count()).toBe(1);
    await context.close();
  });
});
