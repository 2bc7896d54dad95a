import { readFileSync } from 'node:fs';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { BrowserContextOptions, Page } from 'playwright';
import sharp, { type Sharp } from 'sharp';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { measureFolder } from '../src/cli/measure.ts';
import { messageOf } from '../src/text/notes.ts';
import type { MeasureResult } from '../src/formats/result.ts';
import { resultJson } from '../src/measure/result-json.ts';
import { greyDifference, PICTURE_SIZES, roomsShown, smallGrey, stored } from '../config/room-pictures.ts';
import { openMeasured } from './support/measured-die.ts';
import { settled } from './support/page-time.ts';
import { differences } from './support/same-numbers.ts';
import { OF_THE_BROWSER, servedPage, type ServedPage } from './support/served-page.ts';

const samples = join(import.meta.dirname, '../samples');
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

let served: ServedPage;
beforeAll(async () => {
  served = await servedPage();
});
afterAll(() => served.close());

/** A page, and all that it complained about. */
async function opened(
  options: BrowserContextOptions = {},
  watch: (page: Page) => void = () => undefined,
): Promise<{ page: Page; complaints: string[] }> {
  const page = await (await served.visitor(options)).newPage();
  watch(page);
  const complaints: string[] = [];
  page.on('console', (message) => {
    if (!OF_THE_BROWSER.test(message.text())) complaints.push(message.text());
  });
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('requestfailed', (request) => complaints.push(`${request.url()}: ${request.failure()?.errorText}`));
  await page.goto(served.url);
  return { page, complaints };
}

const button = (page: Page, name: string | RegExp) => page.getByRole('button', { name });
const heading = (page: Page, name: string) => page.getByRole('heading', { name, exact: true });
const measureSample = async (page: Page): Promise<void> => {
  await button(page, /sample d6/).click();
  await heading(page, 'Result').waitFor();
};

/** Rules that axe-core finds broken (WCAG 2.2 A and AA, and good practice), with the first place of each. */
async function broken(page: Page): Promise<string[]> {
  await page.evaluate(`globalThis.axe ?? (() => { ${axe} })()`);
  return page.evaluate(async () => {
    const found = await globalThis.axe.run({ resultTypes: ['violations'] });
    return found.violations.map(({ id, nodes }) => `${id}: ${nodes[0]!.html}`);
  });
}

const overflow = (page: Page): Promise<number> =>
  page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);

/** Goes to a room by its link. */
const enter = async (page: Page, room: string): Promise<void> => {
  await page.getByRole('navigation').getByRole('link', { name: room, exact: true }).click();
  await page.locator('main h2').first().waitFor();
};

const openDetails = (page: Page): Promise<void> =>
  page.evaluate(() => document.querySelectorAll('details').forEach((details) => (details.open = true)));

/** Hands files over as if chosen. */
const upload = (page: Page, files: { name: string; buffer: Buffer }[]): Promise<void> =>
  page
    .locator('input[type=file]')
    .first()
    .setInputFiles(files.map((file) => ({ ...file, mimeType: 'image/jpeg' })));

const axisLengths = async (page: Page): Promise<number[]> => {
  const lengths = page.locator('section:has(#axes) td:nth-child(2)');
  await lengths.first().waitFor();
  return (await lengths.allInnerTexts()).map(Number);
};

/** The picture that the page shows of a photo with its outline, small and grey. */
const figure = async (page: Page): Promise<Buffer> =>
  sharp(await page.locator('.frame svg').screenshot())
    .greyscale()
    .resize(120, 90, { fit: 'fill' })
    .raw()
    .toBuffer();

describe('a sample, measured at one click', () => {
  let page: Page;
  let complaints: string[];
  const policies: (string | undefined)[] = [];
  const hosts = new Set<string>();
  beforeAll(async () => {
    const watch = (watched: Page): void =>
      void watched.on('response', (response) => {
        hosts.add(new URL(response.url()).host);
        if (/\.js$|\/$/.test(response.url())) policies.push(response.headers()['content-security-policy']);
      });
    ({ page, complaints } = await opened({ colorScheme: 'light', viewport: { width: 1440, height: 900 } }, watch));
    await measureSample(page);
    await openDetails(page);
  });
  afterAll(async () => {
    await page.context().close();
  });

  test('gives the numbers of the command line', async () => {
    const saved = page.waitForEvent('download');
    await button(page, 'Save as JSON').click();
    const text = await readFile(await (await saved).path(), 'utf8');
    const fromPage = JSON.parse(text) as MeasureResult;
    const measured = await measureFolder(join(samples, 'd6'), () => undefined);
    if (!measured.ok) throw new Error(measured.error.message);
    // As a file gives it: photos' numbers bare, as in a job.
    const filed = JSON.parse(resultJson(measured)) as MeasureResult;
    const lengths = (result: MeasureResult): unknown => {
      const { axes, axesCovariance, meanAxis, rangeOfAxes, meanCornerRadius } = result;
      return { axes, axesCovariance, meanAxis, rangeOfAxes, meanCornerRadius };
    };
    expect(differences(lengths(fromPage), lengths(filed), 1e-9)).toEqual([]);
    // Two engines' sines and exponentials differ in their last digit; points with nearly no edge enlarge that.
    expect(differences({ ...fromPage, timing: {} }, { ...filed, timing: {} }, 1e-5)).toEqual([]);
    // Apart from that and the times, the same bytes: what is said, in which order, in which layout.
    expect(text).toBe(`${JSON.stringify(fromPage, null, 1)}\n`);
    expect(Object.keys(fromPage)).toEqual(Object.keys(filed));
    expect(Object.values(fromPage.timing!).every((s) => s >= 0)).toBe(true);
  });

  test('asks no other host for anything, and runs no code from text', async () => {
    expect([...hosts].filter((host) => host !== '')).toEqual([new URL(served.url).host]);
    // The page, its script and the worker's script.
    expect(policies.length).toBeGreaterThanOrEqual(3);
    for (const policy of policies) {
      expect(policy).toMatch(/script-src 'self' 'wasm-unsafe-eval';/);
      expect(policy).toMatch(/connect-src 'self';/);
    }
    expect(await page.locator('meta[http-equiv="Content-Security-Policy"]').getAttribute('content')).toMatch(
      /default-src 'none'/,
    );
    expect(complaints).toEqual([]);
  });

  test('shows each die with its outline, and one of them large: chosen, zoomed, moved', async () => {
    const dice = page.locator('button[aria-pressed] canvas');
    await expect
      .poll(() => dice.evaluateAll((all) => all.map((canvas) => (canvas as HTMLCanvasElement).width)))
      .toEqual([192, 192, 192, 192]);
    const view = async (): Promise<number[]> =>
      (await page.locator('.frame svg').getAttribute('viewBox'))!.split(' ').map(Number);
    const before = await view();
    await button(page, 'Zoom in').click();
    const closer = await view();
    expect(closer[2]).toBeCloseTo(before[2]! / 1.6, 6);
    await button(page, 'Move right').click();
    expect((await view())[0]).toBeGreaterThan(closer[0]!);
    await button(page, 'Whole photo').click();
    expect(await view()).toEqual([-0.5, -0.5, 2016, 1512]);
    await button(page, 'Show 03-3.jpg').click();
    expect(await page.locator('.frame svg').getAttribute('aria-label')).toMatch(
      /^03-3\.jpg .* departs from it by [\d.]+\u202fµm rms$/,
    );
    await button(page, 'Show 01-1.jpg').click();
    expect(await view()).toEqual(before);
  });

  test('from photos that lie on their side: they stand upright, measure alike, and the outlines lie on them', async () => {
    const turned = await opened({ viewport: { width: 1440, height: 900 } });
    const names = ['01-1.jpg', '02-2.jpg', '03-3.jpg', '04-6.jpg'];
    const files = names.map(async (name) => ({
      name,
      buffer: await sharp(join(samples, 'd6', name))
        .rotate(90)
        .withMetadata({ orientation: 8 })
        .jpeg({ quality: 100, chromaSubsampling: '4:4:4' })
        .toBuffer(),
    }));
    const job = { name: 'job.json', buffer: await readFile(join(samples, 'd6/job.json')) };
    await upload(turned.page, [...(await Promise.all(files)), job]);
    await turned.page.getByText('Fit to use').nth(3).waitFor();
    await button(turned.page, 'Measure').click();
    await heading(turned.page, 'Result').waitFor();
    await openDetails(turned.page);
    const [a, b] = [await axisLengths(page), await axisLengths(turned.page)];
    expect(a).toHaveLength(3);
    // Coding the photos again moves an edge by hundredths of a pixel.
    a.forEach((length, i) => expect(Math.abs(length - b[i]!)).toBeLessThan(0.01));
    for (const shown of [page, turned.page]) await shown.getByLabel('Enlarge departures').selectOption('1');
    const off = async (): Promise<number> => {
      const [p, q] = [await figure(page), await figure(turned.page)];
      return p.reduce((sum, value, i) => sum + Math.abs(value - q[i]!), 0) / p.length;
    };
    // Photos are painted a moment after their outlines.
    await expect.poll(off).toBeLessThan(4);
    await turned.page.context().close();
  });

  /** Mean difference of grey that a missing panel exceeds; see `greyDifference`. */
  const ANOTHER_LOOK = 0.7;

  test('rooms look as in the pictures of test/reference, and a missing panel would be seen', async () => {
    const difference = async (name: string): Promise<number> =>
      greyDifference(
        await smallGrey(await stored(await page.screenshot())),
        await smallGrey(join(import.meta.dirname, `reference/${name}.webp`)),
      );
    let pictures = 0;
    for await (const name of roomsShown(page, [PICTURE_SIZES[1]], ['light'])) {
      pictures++;
      // A room whose new look is wanted is pictured anew: npx tsx config/reference-pictures.ts
      await expect.poll(() => difference(name), { message: name }).toBeLessThan(ANOTHER_LOOK);
    }
    expect(pictures).toBeGreaterThanOrEqual(8);
    await enter(page, 'Photos');
    await page.locator('section:has(#shots)').evaluate((panel) => (panel.style.visibility = 'hidden'));
    expect(await difference('photos-1440-light')).toBeGreaterThan(ANOTHER_LOOK);
  });
});

test('the policy holds: code from text and other hosts are refused', async () => {
  const page = await (await served.visitor()).newPage();
  await page.goto(served.url);
  const refused = await page.evaluate(async () => {
    const blocked: string[] = [];
    document.addEventListener('securitypolicyviolation', (event) => blocked.push(event.effectiveDirective));
    const script = document.createElement('script');
    script.textContent = 'new Function("")()';
    document.head.append(script);
    await fetch('https://example.invalid/').catch(() => undefined);
    // They are told of a moment later; of what is not refused nothing is ever told.
    for (let k = 0; k < 200 && blocked.length < 2; k++) await new Promise((resolve) => setTimeout(resolve, 20));
    return blocked;
  });
  expect(refused).toContain('script-src-elem');
  expect(refused).toContain('connect-src');
  await page.context().close();
});

describe('reading and reaching it', () => {
  const rooms = (page: Page): Promise<string[]> =>
    page
      .getByRole('navigation')
      .getByRole('link')
      .evaluateAll((links) => links.map((link) => link.getAttribute('href')!));
  /** Shows a room by its address, with all that can be opened opened. */
  const show = async (page: Page, address: string): Promise<void> => {
    await page.evaluate((hash) => (location.hash = hash), address);
    await page.locator(`nav a[href="${address}"][aria-current=page]`).waitFor();
    const there = page.locator('main h2').first();
    await there.waitFor().catch(async () => {
      throw new Error(`${address} shows no heading, but: ${(await page.locator('main').innerText()).slice(0, 300)}`);
    });
    // Sections further down are made some frames later.
    await settled(page);
    await openDetails(page);
  };

  test('in every room, empty and with a die, light and dark: no rule of axe-core broken, nothing beyond the page', async () => {
    const { page, complaints } = await opened({ viewport: { width: 1440, height: 900 } });
    await heading(page, 'See it work').waitFor();
    const all = await rooms(page);
    expect(all.length).toBeGreaterThanOrEqual(5);
    for (const measured of [false, true]) {
      await show(page, '#/');
      if (measured) await openMeasured(page, served);
      for (const address of all) {
        await show(page, address);
        const where = `${address}, ${measured ? 'measured' : 'empty'}`;
        expect(await broken(page), where).toEqual([]);
        await page.emulateMedia({ colorScheme: 'dark' });
        expect(await broken(page), `${where}, dark`).toEqual([]);
        await page.emulateMedia({ colorScheme: 'light' });
        for (const width of measured ? [360, 390, 768, 1120, 2560, 1440] : []) {
          await page.setViewportSize({ width, height: 900 });
          expect(await overflow(page), `${address}, ${width} px`).toBe(0);
        }
      }
    }
    expect(complaints).toEqual([]);
    await page.context().close();
  });

  test('in German: words, a comma in numbers, and back to English at a click, kept for the next visit', async () => {
    const { page, complaints } = await opened({ locale: 'de-DE' });
    expect(await page.getAttribute('html', 'lang')).toBe('de');
    await button(page, /Beispiel d6 messen/).waitFor();
    await openMeasured(page, served);
    await heading(page, 'Ergebnis').waitFor();
    const figures = page.locator('dl .value');
    await expect.poll(() => figures.first().textContent()).toMatch(/^15,\d+$/);
    await expect.poll(() => page.title()).toBe('Form – Evencast');
    await button(page, 'English').click();
    await heading(page, 'Result').waitFor();
    await expect.poll(() => figures.first().textContent()).toMatch(/^15\.\d+$/);
    // A file under way would be cut off, which counts as a complaint.
    await page.waitForLoadState('networkidle');
    await page.reload();
    await heading(page, 'Result').waitFor();
    await expect.poll(() => page.getAttribute('html', 'lang')).toBe('en');
    expect(complaints).toEqual([]);
    await page.context().close();
  });

  test('by keyboard alone: measure, be taken to the result, leave a photo out, measure again', async () => {
    const { page } = await opened();
    const focused = (): Promise<string> =>
      page.evaluate(() => {
        const { activeElement, body } = document;
        if (activeElement === null || activeElement === body) return '';
        return activeElement.getAttribute('aria-label') ?? activeElement.textContent ?? '';
      });
    const tabTo = async (name: RegExp): Promise<void> => {
      for (let i = 0; i < 80 && !name.test(await focused()); i++) await page.keyboard.press('Tab');
      expect(await focused()).toMatch(name);
    };
    await heading(page, 'See it work').waitFor();
    await tabTo(/sample d6/);
    await page.keyboard.press('Enter');
    await heading(page, 'Result').waitFor();
    await page.waitForFunction(() => document.activeElement?.matches('main h2'));
    await page.evaluate(() => (document.activeElement as HTMLElement).blur());
    await tabTo(/^Photos$/);
    await page.keyboard.press('Enter');
    await page.waitForFunction(() => document.activeElement?.matches('main h2'));
    await tabTo(/^Leave out 04-6.jpg$/);
    await page.keyboard.press('Space');
    await page.getByText('Left out by you').waitFor();
    await enter(page, 'Shape');
    await page.getByText('Changed since the result below').waitFor();
    await page.goBack();
    await tabTo(/^\s*Measure again\s*$/);
    await page.keyboard.press('Enter');
    await heading(page, 'Result').waitFor();
    expect(await page.getByText('Changed since the result below').count()).toBe(0);
    await page.context().close();
  });

  test('rooms have addresses: bookmarks, the back button, the heading read out, a title of its own', async () => {
    const { page } = await opened();
    await page.goto(`${served.url}#/card`);
    await heading(page, 'Print the card').waitFor();
    expect(await page.title()).toBe('Card – Evencast');
    await enter(page, 'Shape');
    await heading(page, 'Result').waitFor();
    await page.waitForFunction(() => document.activeElement?.matches('main h2'));
    await page.goBack();
    await heading(page, 'Print the card').waitFor();
    await page.goto(`${served.url}#/nowhere`);
    await heading(page, 'See it work').waitFor();
    await page.context().close();
  });
});

describe('files given', () => {
  test('that cannot be used are told why and what to do; the others stay usable', async () => {
    const { page, complaints } = await opened();
    const good = await readFile(join(samples, 'd6/01-1.jpg'));
    const sample = (name: string): Sharp => sharp(join(samples, 'd6', name));
    const png = await sharp({ create: { width: 2016, height: 1512, channels: 3, background: '#999' } })
      .png()
      .toBuffer();
    const huge = Buffer.from(png);
    huge.writeUInt32BE(30000, 16);
    huge.writeUInt32BE(30000, 20);
    await upload(page, [
      { name: '01-1.jpg', buffer: good },
      { name: '02-cut.jpg', buffer: good.subarray(0, good.length / 2) },
      { name: '03-text.jpg', buffer: Buffer.from('no photo') },
      { name: '04-heic.heic', buffer: Buffer.from('\0\0\0\x18ftypheic\0\0\0\0mif1heic') },
      { name: '05-huge.png', buffer: huge },
      { name: '06-tiny.jpg', buffer: await sharp(png).resize(1, 1).jpeg().toBuffer() },
      { name: '07-blank.png', buffer: png },
      { name: '08-grey.jpg', buffer: await sample('02-2.jpg').greyscale().jpeg().toBuffer() },
      { name: '09-cmyk.jpg', buffer: await sample('03-3.jpg').toColourspace('cmyk').jpeg().toBuffer() },
      {
        name: '10-deep.png',
        buffer: await sample('04-6.jpg').toColourspace('rgb16').png({ compressionLevel: 1 }).toBuffer(),
      },
      { name: 'job.json', buffer: Buffer.from('{ "die": "d7" }') },
    ]);
    const [unusable, usable] = [page.getByText('Not usable'), page.getByText('Fit to use')];
    await page.getByText('10-deep.png', { exact: true }).waitFor();
    await page.waitForFunction(() => !/Waiting|Being looked at/.test(document.body.innerText));
    // Grey, CMYK and 16-bit photos are read like others.
    expect([await unusable.count(), await usable.count()]).toEqual([6, 4]);
    const told = (await page.getByRole('list').allTextContents()).join(' ');
    expect(told).toContain(messageOf({ code: 'truncated' }).text);
    expect(told).toContain(messageOf({ code: 'not-an-image' }).advice);
    expect(told).toContain(messageOf({ code: 'heic' }).advice);
    expect(told).toContain('30000 x 30000 px; at most');
    expect(told).toContain('1 x 1 px; at least');
    expect(told).toMatch(/Card: 0 markers seen/);
    expect(await page.getByRole('alert').textContent()).toMatch(/"die" is "d7"/);
    expect(complaints).toEqual([]);
    await page.context().close();
  });

  test('of names that say nothing come in the order they were taken, of a folder only those that can be photos, and by paste', async () => {
    const { page } = await opened();
    const taken = (second: number): Promise<Buffer> =>
      sharp({ create: { width: 64, height: 64, channels: 3, background: '#999' } })
        .withExif({ IFD2: { DateTimeOriginal: `2026:05:01 10:00:0${second}` } })
        .jpeg()
        .toBuffer();
    const order = (): Promise<string[]> => page.locator('li .about .name').allTextContents();
    await upload(page, [
      { name: 'one.jpg', buffer: await taken(3) },
      { name: 'two.jpg', buffer: await taken(1) },
      { name: 'three.jpg', buffer: await taken(2) },
    ]);
    await page.getByText('one.jpg', { exact: true }).waitFor();
    expect(await order()).toEqual(['two.jpg', 'three.jpg', 'one.jpg']);
    await page.getByLabel('Order', { exact: true }).selectOption('by names');
    expect(await order()).toEqual(['one.jpg', 'three.jpg', 'two.jpg']);
    const folder = await mkdtemp(join(tmpdir(), 'evencast-folder-'));
    for (const name of ['z.JPG', 'notes.txt', '.hidden.jpg', 'job.json']) await writeFile(join(folder, name), '{}');
    await page.getByLabel('Add a folder').setInputFiles(folder);
    await page.getByText('2 other files of the folder were passed over').waitFor();
    expect(await order()).toEqual(['one.jpg', 'three.jpg', 'two.jpg', 'z.JPG']);
    expect(await page.getByRole('alert').first().textContent()).toMatch(/The job file was not used/);
    await rm(folder, { recursive: true });
    await page.evaluate(() => {
      const clipboardData = new DataTransfer();
      clipboardData.items.add(new File(['no photo'], 'pasted.png', { type: 'image/png' }));
      document.body.dispatchEvent(new ClipboardEvent('paste', { clipboardData, bubbles: true, cancelable: true }));
    });
    await page.getByText('pasted.png', { exact: true }).waitFor();
    await page.context().close();
  });

  test('can be replaced one by one by a better one, with the numbers said before', async () => {
    const { page } = await opened();
    await upload(page, [{ name: 'bad.jpg', buffer: Buffer.from('no photo') }]);
    await page.getByText('Not usable').waitFor();
    await page.getByLabel('Up, bad.jpg').selectOption('3');
    await page
      .getByLabel('Replace bad.jpg by another photo')
      .setInputFiles([
        { name: '03-3.jpg', mimeType: 'image/jpeg', buffer: await readFile(join(samples, 'd6/03-3.jpg')) },
      ]);
    await page.getByText('Fit to use').waitFor();
    expect(await page.getByText('bad.jpg', { exact: true }).count()).toBe(0);
    expect(await page.getByLabel('Up, 03-3.jpg').inputValue()).toBe('3');
    await page.context().close();
  });

  test('by dropping them anywhere', async () => {
    const { page } = await opened();
    await page.evaluate(() => {
      const dataTransfer = new DataTransfer();
      dataTransfer.items.add(new File(['no photo'], 'dropped.txt'));
      for (const type of ['dragenter', 'dragover', 'drop'])
        document.body.dispatchEvent(new DragEvent(type, { dataTransfer, bubbles: true, cancelable: true }));
    });
    await page.getByText('Not usable').waitFor();
    expect(await page.getByText('dropped.txt').count()).toBe(1);
    await button(page, 'New die').click();
    await page.getByText('No photos yet').waitFor();
    await button(page, 'Undo: another die').click();
    await page.getByText('dropped.txt').waitFor();
    await button(page, 'Redo: another die').click();
    await page.getByText('No photos yet').waitFor();
    await page.context().close();
  });
});

test('work under way can be cancelled: photos and verdicts stay, and it can be started again', async () => {
  const { page, complaints } = await opened();
  await button(page, /sample d20/).click();
  await page.getByText('Fit to use').nth(1).waitFor();
  await button(page, 'Cancel').click();
  await button(page, 'Measure').waitFor();
  expect(await page.getByRole('progressbar').count()).toBe(0);
  expect(await page.getByText('Fit to use').count()).toBeGreaterThanOrEqual(2);
  await button(page, 'Measure').click();
  await page.getByRole('progressbar').waitFor();
  await button(page, 'New die').click();
  await page.getByText('No photos yet').waitFor();
  expect(complaints).toEqual([]);
  await page.context().close();
});

test('the card is made on the page, at a click', async () => {
  const { page } = await opened();
  await enter(page, 'Card');
  const saved = page.waitForEvent('download');
  await page.getByLabel('Colour of the die').selectOption('yellow or gold');
  expect(await page.getByLabel('Stage colour').inputValue()).toBe('blue');
  await page.getByLabel('Stage colour').selectOption('white');
  await page.getByText('another stage shows a plainer outline').waitFor();
  await page.getByLabel('Stage colour').selectOption('black');
  await button(page, 'Make the card (PDF)').click();
  const download = await saved;
  expect(download.suggestedFilename()).toBe('evencast-card-a4-black.pdf');
  expect((await readFile(await download.path())).subarray(0, 5).toString()).toBe('%PDF-');
  await page.context().close();
});
