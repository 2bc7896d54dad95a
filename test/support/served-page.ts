import { join } from 'node:path';
import { chromium, type Browser } from 'playwright';
import { preview } from 'vite';
import { CHROMIUM_FLAGS, findChromium, HOW_TO_GET_CHROMIUM } from '../../config/chromium.ts';
import { builtPage } from './built-page.ts';

export interface ServedPage {
  /** Address of the built page, as `npm start` serves it. */
  readonly url: string;
  /** Where its files lie; other tests read them too. */
  readonly folder: string;
  readonly browser: Browser;
  close(): Promise<void>;
}

/** Serves the built page and starts a browser. */
export async function servedPage(): Promise<ServedPage> {
  const executablePath = findChromium();
  if (executablePath === undefined) throw new Error(HOW_TO_GET_CHROMIUM);
  const outDir = await builtPage();
  const root = join(import.meta.dirname, '../..');
  const server = await preview({
    root,
    logLevel: 'silent',
    build: { outDir },
    preview: { port: 0, host: '127.0.0.1' },
  });
  const browser = await chromium.launch({ executablePath, args: CHROMIUM_FLAGS });
  return {
    url: server.resolvedUrls!.local[0]!,
    folder: outDir,
    browser,
    async close() {
      await browser.close();
      await server.close();
    },
  };
}
