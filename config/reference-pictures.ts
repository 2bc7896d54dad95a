/**
 * Writes test/reference: each room of the page as it looks with the sample d6 measured, on a telephone and on a desk, in light
 * and dark: `npx tsx config/reference-pictures.ts [FOLDER]`. They are for looking at when the look changes, and `test/page.test.ts` compares
 * them loosely.
 */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { chromium } from 'playwright';
import { CHROMIUM_FLAGS, findChromium, HOW_TO_GET_CHROMIUM } from './chromium.ts';
import { PICTURE_SIZES, roomsShown, stored } from './room-pictures.ts';
import { withBuiltPage } from './with-built-page.ts';

const folder = process.argv[2] ?? join(import.meta.dirname, '../test/reference');
mkdirSync(folder, { recursive: true });

const executablePath = findChromium();
if (executablePath === undefined) throw new Error(HOW_TO_GET_CHROMIUM);
await withBuiltPage(async ({ url }) => {
  const browser = await chromium.launch({ executablePath, args: CHROMIUM_FLAGS });
  try {
    const page = await browser.newPage({ locale: 'en-GB', serviceWorkers: 'block' });
    page.setDefaultTimeout(120_000);
    await page.goto(url);
    await page.getByRole('button', { name: /sample d6/ }).click();
    await page.getByRole('heading', { name: 'Result', exact: true }).waitFor();
    for await (const name of roomsShown(page, PICTURE_SIZES, ['light', 'dark'])) {
      // Charts take their width, pictures their photos and the report its preview a moment later.
      await page.waitForTimeout(1500);
      writeFileSync(join(folder, `${name}.webp`), await stored(await page.screenshot()));
    }
  } finally {
    await browser.close();
  }
});
