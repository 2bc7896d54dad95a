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

/** Runs in a page before its own scripts: whether its browser says that data are to be saved. */
export const saying = (saveData: boolean): void => {
  Object.defineProperty(navigator, 'connection', { value: { saveData }, configurable: true });
};

/** Pages of this browser are told to save data: few tests need the image processing that a page readies while it is looked at. */
function savingData(browser: Browser): Browser {
  const made = browser.newContext.bind(browser);
  browser.newContext = async (options) => {
    const context = await made(options);
    await context.addInitScript(saying, true);
    return context;
  };
  return browser;
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
  const browser = savingData(await chromium.launch({ executablePath, args: CHROMIUM_FLAGS }));
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
