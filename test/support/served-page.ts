import { join } from 'node:path';
import { chromium, type Browser, type BrowserContext, type BrowserContextOptions } from 'playwright';
import { preview } from 'vite';
import { CHROMIUM_FLAGS, findChromium, HOW_TO_GET_CHROMIUM } from '../../config/chromium.ts';
import { builtPage } from './built-page.ts';

/** A slow or busy machine is not a wrong one: so long what should come on a page is waited for, ms. */
const PATIENCE = 90_000;

/** Said on a page's console by the test's own browser: that it refuses what tests do not need, and of its software renderer. */
export const OF_THE_BROWSER = /Service Worker registration blocked|GL Driver Message/;

/** Starts a browser for tests. @param flags  Beside those that every such browser has. */
export function startedBrowser(flags: readonly string[] = [], without: readonly string[] = []): Promise<Browser> {
  const executablePath = findChromium();
  if (executablePath === undefined) throw new Error(HOW_TO_GET_CHROMIUM);
  return chromium.launch({
    executablePath,
    args: [...CHROMIUM_FLAGS.filter((flag) => !without.includes(flag)), ...flags],
  });
}

/** Somebody who comes to the page for the first time: stores and settings are nobody else's. As told by the browser data is saved, and the page measures nothing unasked. */
export async function visitorOf(
  browser: Browser,
  options: BrowserContextOptions = {},
  savesData = true,
): Promise<BrowserContext> {
  const context = await browser.newContext({ locale: 'en-GB', ...options });
  context.setDefaultTimeout(PATIENCE);
  if (savesData)
    await context.addInitScript(() => {
      Object.defineProperty(navigator, 'connection', { value: { saveData: true } });
    });
  return context;
}

export interface ServedPage {
  /** Address of the built page, as `npm start` serves it. */
  readonly url: string;
  /** Where its files lie; other tests read them too. */
  readonly folder: string;
  readonly browser: Browser;
  /** A visitor for whom nothing is stored beside the page; see `visitorOf`. */
  visitor(options?: BrowserContextOptions, savesData?: boolean): Promise<BrowserContext>;
  close(): Promise<void>;
}

/** Serves the built page and starts a browser, with flags as `startedBrowser` takes them. */
export async function servedPage(flags?: readonly string[], without?: readonly string[]): Promise<ServedPage> {
  const outDir = await builtPage();
  const root = join(import.meta.dirname, '../..');
  const server = await preview({
    root,
    logLevel: 'silent',
    build: { outDir },
    preview: { port: 0, host: '127.0.0.1' },
  });
  const browser = await startedBrowser(flags, without);
  return {
    url: server.resolvedUrls!.local[0]!,
    folder: outDir,
    browser,
    visitor: (options, savesData) => visitorOf(browser, { serviceWorkers: 'block', ...options }, savesData),
    async close() {
      await browser.close();
      await server.close();
    },
  };
}
