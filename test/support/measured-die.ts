import { readFile } from 'node:fs/promises';
import type { Page } from 'playwright';
import { madeByPage } from './built-page.ts';
import type { ServedPage } from './served-page.ts';

/** Saves the die on a page's bench as a file: photos, verdicts, result and all. */
export async function savedDie(page: Page): Promise<Buffer> {
  await page.waitForFunction(() => document.documentElement.dataset['kept'] === 'true');
  await page.evaluate(() => (location.hash = '#/'));
  const saved = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save as file: unnamed d6' }).click();
  return readFile(await (await saved).path());
}

/** The sample d6, measured by the page as it was built, as a file: measured once for all test files. */
async function measuredDie(served: ServedPage): Promise<Buffer> {
  const file = await madeByPage(served.folder, 'd6.zip', async () => {
    const context = await served.visitor();
    const page = await context.newPage();
    await page.goto(served.url);
    await page.getByRole('button', { name: /sample d6/ }).click();
    await page.getByRole('heading', { name: 'Result', exact: true }).waitFor();
    const die = await savedDie(page);
    await context.close();
    return die;
  });
  return readFile(file);
}

/** Hands a file of dice to a page's first room. */
export const bringIn = (page: Page, buffer: Buffer): Promise<void> =>
  page
    .getByLabel(/Bring in a file|Datei hereinholen/)
    .setInputFiles([{ name: 'die.zip', mimeType: 'application/zip', buffer }]);

/** Opens the measured sample d6 on a page that shows its first room, as it comes back from its file, and stays at its result. */
export async function openMeasured(page: Page, served: ServedPage): Promise<void> {
  await bringIn(page, await measuredDie(served));
  await page.getByRole('button', { name: /Open unnamed d6|d6 ohne Namen öffnen/ }).click();
  await page.locator('#result').waitFor();
}
