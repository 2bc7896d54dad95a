/**
 * Writes test/reference: each room of the page as it looks with the sample d6 measured, on a telephone and on a desk, in light
 * and dark: `npx tsx config/reference-pictures.ts [FOLDER]`. They are for looking at when the look changes; nothing compares them.
 */
import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium, type Page } from 'playwright';
import sharp from 'sharp';
import { build, preview } from 'vite';
import { CHROMIUM_FLAGS, findChromium, HOW_TO_GET_CHROMIUM } from './chromium.ts';

const SIZES = [
  { width: 390, height: 844 },
  { width: 1440, height: 900 },
] as const;

const root = join(import.meta.dirname, '..');
const folder = process.argv[2] ?? join(root, 'test/reference');
mkdirSync(folder, { recursive: true });

async function writePictures(page: Page, folder: string): Promise<void> {
  const rooms = await page
    .getByRole('navigation')
    .getByRole('link')
    .evaluateAll((links) => links.map((link) => link.getAttribute('href')!));
  for (const address of rooms) {
    await page.evaluate((hash) => (location.hash = hash), address);
    await page.locator(`nav a[href="${address}"][aria-current=page]`).waitFor();
    await page.locator('main h2').first().waitFor();
    for (const size of SIZES) {
      await page.setViewportSize(size);
      for (const colorScheme of ['light', 'dark'] as const) {
        await page.emulateMedia({ colorScheme });
        // Charts take their width, and pictures their photos, a moment later.
        await page.waitForTimeout(700);
        const name = `${address.slice(2) || 'start'}-${size.width}-${colorScheme}.webp`;
        await sharp(await page.screenshot())
          .webp({ quality: 60 })
          .toFile(join(folder, name));
      }
    }
  }
}

const executablePath = findChromium();
if (executablePath === undefined) throw new Error(HOW_TO_GET_CHROMIUM);
const outDir = mkdtempSync(join(tmpdir(), 'evencast-reference-'));
await build({ root, logLevel: 'silent', build: { outDir, emptyOutDir: true } });
const server = await preview({ root, logLevel: 'silent', build: { outDir }, preview: { port: 0, host: '127.0.0.1' } });
const browser = await chromium.launch({ executablePath, args: CHROMIUM_FLAGS });
const page = await browser.newPage({ locale: 'en-GB', serviceWorkers: 'block' });
page.setDefaultTimeout(120_000);
await page.goto(server.resolvedUrls!.local[0]!);
await page.getByRole('button', { name: /sample d6/ }).click();
await page.getByRole('heading', { name: 'Result', exact: true }).waitFor();
await writePictures(page, folder);
await browser.close();
await server.close();
rmSync(outDir, { recursive: true });
