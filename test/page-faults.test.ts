import { readFile } from 'node:fs/promises';
import type { BrowserContext, Page } from 'playwright';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { PAGE_FAULTS, type PageFault } from './support/page-faults.ts';
import { settled } from './support/page-time.ts';
import { shareOf } from './support/share.ts';
import { staticHost } from './support/static-host.ts';
import { servedPage, type ServedPage } from './support/served-page.ts';

/** Calls of the browser fail, hang or lie, in each room: the page stays usable, says so in its own words, and calls nothing kept that is not. */

const ROOMS = ['', 'card', 'photos', 'shape', 'rolls', 'report', 'compare', 'lots', 'bin', 'check'] as const;
const LIBRARY = /Cannot read|undefined|TypeError|is not a function|made to fail|DOMException|\[object|\bNaN\b/;

let served: ServedPage;
beforeAll(async () => {
  served = await servedPage();
});
afterAll(() => served.close());

const visitor = (locale = 'en-GB'): Promise<BrowserContext> => served.visitor({ locale });

async function opened(
  context: BrowserContext,
  room: string,
  url = served.url,
): Promise<{ page: Page; thrown: string[] }> {
  const page = await context.newPage();
  const thrown: string[] = [];
  page.on('pageerror', (error) => thrown.push(error.message));
  await page.goto(`${url}#/${room}`);
  await page.locator('main h2').first().waitFor();
  return { page, thrown };
}

const text = (page: Page): Promise<string> => page.locator('body').innerText();
const saidKept = (page: Page): Promise<boolean> =>
  page.evaluate(() => document.documentElement.dataset['kept'] === 'true');

/** Rooms that a fault meets in the gate, by turns; the whole table (every fault, every room) is walked where it is asked for. */
const ROOMS_EACH = 3;

async function meets({ script, keepsNothing }: PageFault, rooms: readonly string[]): Promise<void> {
  const context = await visitor();
  await context.addInitScript(script);
  const { page, thrown } = await opened(context, 'photos');
  await page.locator('#die-name').fill('entered');
  await settled(page);
  if (keepsNothing) {
    expect(await saidKept(page), 'called kept').toBe(false);
    await page.getByText(keepsNothing).waitFor();
  }
  for (const room of rooms) {
    await page.evaluate((id) => (location.hash = `#/${id}`), room);
    await page.locator('main h2').first().waitFor();
    await settled(page);
    expect(await text(page), room).not.toMatch(LIBRARY);
    if (keepsNothing) expect(await saidKept(page), `called kept in ${room}`).toBe(false);
  }
  await page.evaluate(() => (location.hash = '#/photos'));
  expect(await page.locator('#die-name').inputValue(), 'what was entered').toBe('entered');
  expect(thrown, 'uncaught').toEqual([]);
  await context.close();
}

test.concurrent.each(PAGE_FAULTS.map((fault, row) => ({ fault, row, name: fault.name })))(
  '$name: rooms are there, and speak in their own words',
  ({ fault, row }) => meets(fault, shareOf(ROOMS, row, ROOMS_EACH)),
);

describe.concurrent('workers that cannot be had', () => {
  test.each([
    ['en-GB', /starts no workers here/],
    ['de-DE', /startet hier keine Worker/],
  ])('%s: a measurement says so', async (locale, said) => {
    const context = await visitor(locale);
    await context.addInitScript(PAGE_FAULTS.find(({ name }) => name === 'workers: there are none')!.script);
    const { page, thrown } = await opened(context, '');
    await page.getByRole('button', { name: /d6/ }).first().click();
    await page.getByText(said).first().waitFor();
    expect(await text(page)).not.toMatch(LIBRARY);
    expect(thrown).toEqual([]);
    await context.close();
  });

  test("one that ends by itself: said without the engine's words, photos stay", async () => {
    const context = await visitor();
    await context.addInitScript(PAGE_FAULTS.find(({ name }) => name === 'workers: each ends at once')!.script);
    const { page, thrown } = await opened(context, '');
    await page.getByRole('button', { name: /sample d6/ }).click();
    await page.getByText('Image processing stopped by itself.').first().waitFor();
    expect(await text(page)).not.toMatch(LIBRARY);
    await page.evaluate(() => (location.hash = '#/photos'));
    await page.getByRole('button', { name: 'Leave out 04-6.jpg' }).waitFor();
    expect(thrown).toEqual([]);
    await context.close();
  });

  test.each([
    [
      'the decoder fails',
      `self.createImageBitmap = () => Promise.reject(new DOMException('made to fail', 'InvalidStateError'));`,
    ],
    ['there is no canvas', `OffscreenCanvas.prototype.getContext = () => null;`],
    [
      'there is no memory for pixels',
      `OffscreenCanvasRenderingContext2D.prototype.getImageData = () => { throw new RangeError('made to fail'); };`,
    ],
  ])('inside the worker %s: each photo says that it could not be decoded', async (_what, script) => {
    // From the host itself: what a worker's own workers fetch cannot be changed on its way.
    const host = await staticHost(served.folder, '/');
    host.spoil = (path, content) =>
      /\.worker-.*\.js$/.test(path) ? Buffer.concat([Buffer.from(`${script}\n`), content]) : content;
    const context = await visitor();
    const { page, thrown } = await opened(context, '', host.url);
    await page.getByRole('button', { name: /sample d6/ }).click();
    await page.getByText('The picture could not be decoded.').first().waitFor();
    expect(await text(page)).not.toMatch(LIBRARY);
    expect(thrown).toEqual([]);
    await context.close();
    await host.close();
  });
});

/** A text that a field cannot show: what a record of a later version, or a browser's fault, might be to a room. */
const BREAKS = `{
  const value = Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'value');
  Object.defineProperty(HTMLInputElement.prototype, 'value', { ...value, set(v) { if (v === 'breaks the room') throw new Error('made to fail'); value.set.call(this, v); } });
}`;

test('a kept record that breaks its room: named, offered as a file, set aside; the room is usable again', async () => {
  const context = await visitor();
  const first = await opened(context, 'lots');
  await first.page.getByRole('button', { name: 'Show an invented lot' }).click();
  await first.page.getByLabel('Name of the lot').fill('breaks the room');
  await first.page.waitForFunction(() => document.documentElement.dataset['kept'] === 'true');
  await first.page.close();

  await context.addInitScript(BREAKS);
  const { page } = await opened(context, '');
  await page.evaluate(() => (location.hash = '#/lots'));
  const alert = page.getByRole('alert').filter({ hasText: 'met something that it cannot show' });
  await alert.getByText('The room “Lots”').waitFor();
  expect(await text(page)).not.toMatch(LIBRARY);
  const save = async (): Promise<string> => {
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('button', { name: /Save everything kept as a file|Save all as one file/ }).click(),
    ]);
    return (await readFile((await download.path())!)).toString('latin1');
  };
  expect(await save(), 'the record is in the file').toContain('breaks the room');
  await page.getByRole('button', { name: 'Set it aside and go on' }).click();
  await page.getByRole('button', { name: 'Show an invented lot' }).waitFor();
  expect(await alert.count()).toBe(0);

  // Usable: a lot entered now is kept and there again, and what was set aside is still in files of everything.
  await page.getByRole('button', { name: 'Show an invented lot' }).click();
  await page.getByLabel('Name of the lot').fill('another lot');
  await page.waitForFunction(() => document.documentElement.dataset['kept'] === 'true');
  await page.reload();
  await page.getByLabel('Name of the lot').waitFor();
  expect(await page.getByLabel('Name of the lot').inputValue()).toBe('another lot');
  const rooms = await page.evaluate(async () => {
    const db = await new Promise<IDBDatabase>((done, fail) => {
      const asked = indexedDB.open('evencast');
      asked.onsuccess = () => done(asked.result);
      asked.onerror = () => fail(new Error('not opened'));
    });
    return new Promise<string[]>((done) => {
      const all = db.transaction('rooms').objectStore('rooms').getAll();
      all.onsuccess = () => done((all.result as { room: string }[]).map(({ room }) => room).sort());
    });
  });
  expect(rooms).toEqual(expect.arrayContaining(['lots', 'lots-aside']));
  await context.close();
});
