import { spawn } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { gzipSync } from 'node:zlib';
import { join } from 'node:path';
import type { Browser, BrowserContext, Page } from 'playwright';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { listed } from '../config/offline-plugin.ts';
import { builtPageIn } from './support/built-page.ts';
import { startedBrowser, visitorOf } from './support/served-page.ts';
import { staticHost, type StaticHost } from './support/static-host.ts';

const root = join(import.meta.dirname, '..');
const folder = mkdtempSync(join(tmpdir(), 'evencast-offline-'));
const [first, second] = [join(folder, 'first'), join(folder, 'second')];
const UNDER = '/some/folder of dice/';

let browser: Browser;
let host: StaticHost;
beforeEach(async () => {
  host = await staticHost(first, UNDER);
});
afterEach(() => host.close());
beforeAll(async () => {
  await builtPageIn(first);
  makeSecond();
  browser = await startedBrowser();
});
afterAll(async () => {
  await browser.close();
  rmSync(folder, { recursive: true });
});

/** Another version of the page: its words say so, and its files have other names. */
function makeSecond(): void {
  cpSync(first, second, { recursive: true });
  const page = join(second, 'index.html');
  writeFileSync(
    page,
    readFileSync(page, 'utf8').replace('content="Measures a', 'content="The second version measures a'),
  );
  const script = join(second, 'offline.js');
  const files = listed(second);
  const text = readFileSync(script, 'utf8')
    .replace(/const FILES = .*;/, `const FILES = ${JSON.stringify(files)};`)
    .replace(/const VERSION = '\w+';/, "const VERSION = 'second';");
  writeFileSync(script, text);
}

async function visitor(): Promise<{ context: BrowserContext; page: Page; hosts: Set<string>; complaints: string[] }> {
  const context = await visitorOf(browser);
  const [hosts, complaints] = [new Set<string>(), [] as string[]];
  context.on('request', (request) => hosts.add(new URL(request.url()).host));
  context.on('weberror', (error) => complaints.push(error.error().message));
  context.on('console', (message) => complaints.push(message.text()));
  return { context, page: await context.newPage(), hosts, complaints };
}

const stored = (page: Page): Promise<void> => page.getByText('Ready to work without a network').waitFor();
/** The samples' photos are offered, not stored unasked. */
const keepSamples = async (page: Page): Promise<void> => {
  const offer = page.getByRole('button', { name: /Keep the samples/ });
  await offer.click();
  await offer.waitFor({ state: 'detached' });
};
const measure = async (page: Page): Promise<void> => {
  await page.getByRole('button', { name: /sample d6/ }).click();
  await page.getByRole('heading', { name: 'Result', exact: true }).waitFor();
};
/** Paths of what the page's own store holds, and how many bytes of each. */
const storedFiles = async (page: Page): Promise<Map<string, number>> =>
  new Map(
    await page.evaluate(async () => {
      const [name] = await caches.keys();
      const cache = await caches.open(name!);
      return Promise.all(
        (await cache.keys()).map(async (request): Promise<[string, number]> => {
          const body = await (await cache.match(request, { ignoreVary: true }))!.blob();
          return [decodeURIComponent(new URL(request.url).pathname), body.size];
        }),
      );
    }),
  );
const unsized = /^(blob|data):/;

describe('the built folder, on a plain host under a path of its own', () => {
  test('measures, asks for nothing outside that path, and then works with the network off', async () => {
    const { context, page, hosts, complaints } = await visitor();
    await page.goto(host.url);
    await stored(page);
    const asked = new Set(host.asked);
    expect([...asked].filter((path) => !path.startsWith(UNDER))).toEqual([]);
    // All files are stored after the first visit, those of rooms nobody went to as well; but not what is only offered.
    const kept = await storedFiles(page);
    const wanted = listed(first).filter(([, , keep]) => keep !== 'offered');
    expect([...kept.keys()].sort()).toEqual(wanted.map(([path]) => `${UNDER}${path}`).sort());
    expect([...kept.values()].reduce((sum, bytes) => sum + bytes, 0)).toBeLessThan(6_000_000);
    expect(asked.has(`${UNDER}THIRD-PARTY.txt`)).toBe(false);
    await keepSamples(page);
    await host.close();
    await context.setOffline(true);
    await page.reload();
    await measure(page);
    // Workers take their policy from headers alone, and this host sends none: the page's own store adds them.
    const policy = await page.evaluate(async () =>
      (await fetch('./index.html')).headers.get('Content-Security-Policy'),
    );
    expect(policy).toContain("connect-src 'self'");
    for (const room of ['card', 'photos', 'rolls', 'shape']) {
      await page.goto(`${host.url}#/${room}`);
      await page.locator('main h2').first().waitFor();
    }
    await page.goto(`${host.url}#/card`);
    const saved = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Make the card (PDF)' }).click();
    expect((await saved).suggestedFilename()).toMatch(/\.pdf$/);
    expect([...hosts].filter((name) => name !== '' && name !== new URL(host.url).host)).toEqual([]);
    expect(complaints.filter((text) => !unsized.test(text))).toEqual([]);
    await context.close();
  });

  test('is replaced by a newer version only when asked, with everything entered still there', async () => {
    const { context, page } = await visitor();
    await page.goto(host.url);
    await stored(page);
    const other = await context.newPage();
    await other.goto(host.url);
    await page.goto(`${host.url}#/card`);
    await page.getByRole('button', { name: 'Add a printed card' }).click();
    await page.getByLabel('Bar X').fill('100.7');
    host.folder = second;
    host.asked.length = 0;
    await page.evaluate(async () => (await navigator.serviceWorker.ready).update());
    await page.getByText('A newer version of this page is ready').waitFor();
    // What did not change is not fetched again.
    expect(host.asked.filter((path) => path.includes('/assets/'))).toEqual([]);
    expect(await page.evaluate(() => document.head.innerHTML)).not.toContain('The second version');
    const loaded = page.waitForEvent('load');
    await page.getByRole('button', { name: 'Change to it now' }).click();
    await loaded;
    expect(await page.evaluate(() => document.head.innerHTML)).toContain('The second version');
    expect(await page.getByLabel('Bar X').inputValue()).toBe('100.7');
    // A tab that shows the version before goes on, and still gets its parts.
    expect(await other.evaluate(() => document.head.innerHTML)).not.toContain('The second version');
    await other.evaluate(() => (location.hash = '#/rolls'));
    await other.locator('main h2').first().waitFor();
    await context.close();
  });
});

test('a file that arrives cut short is not stored as if it were whole, and asked for again', async () => {
  const { context, page } = await visitor();
  const cut = new Map<string, number>();
  // The first answer for each piece of the page but what the first room needs breaks off in its middle, as a broken upload's would.
  host.spoil = (path, content) => {
    const times = cut.get(path) ?? 0;
    cut.set(path, times + 1);
    return /Room-[^/]*\.js$/.test(path) && !path.includes('StartRoom') && times === 0
      ? content.subarray(0, content.length >> 1)
      : content;
  };
  await page.goto(host.url);
  await stored(page);
  expect([...cut].filter(([path, times]) => /CardRoom-[^/]*\.js$/.test(path) && times > 1)).toHaveLength(1);
  await host.close();
  await context.setOffline(true);
  for (const room of ['card', 'lots', 'bin']) {
    await page.goto(`${host.url}#/${room}`);
    await page.locator('main h2').first().waitFor();
  }
  await context.close();
});

test('a stored file that was spoilt afterwards is thrown out when its room is asked for, and fetched anew', async () => {
  const { context, page } = await visitor();
  await page.goto(host.url);
  await stored(page);
  const spoilt = await page.evaluate(async () => {
    let count = 0;
    for (const name of await caches.keys()) {
      const cache = await caches.open(name);
      for (const { url } of await cache.keys())
        if (/CardRoom-[^/]*\.js$/.test(url)) {
          const whole = (await cache.match(url))!;
          await cache.put(url, new Response((await whole.blob()).slice(0, 100), { headers: whole.headers }));
          count++;
        }
    }
    return count;
  });
  expect(spoilt).toBe(1);
  const again = await context.newPage();
  await again.goto(`${host.url}#/card`);
  await again.locator('main h2').first().waitFor();
  await again.close();
  await host.close();
  await context.setOffline(true);
  await page.goto(`${host.url}#/card`);
  await page.locator('main h2').first().waitFor();
  await context.close();
});

test('while a file keeps arriving cut short, the page does not say that it is ready, and works from the network', async () => {
  const { context, page } = await visitor();
  host.spoil = (path, content) => (path.endsWith('/lot.schema.json') ? content.subarray(0, 40) : content);
  await page.goto(host.url);
  await page.getByText('could not be stored').waitFor();
  expect(await page.getByText('Ready to work without a network').count()).toBe(0);
  await page.goto(`${host.url}#/card`);
  await page.locator('main h2').first().waitFor();
  await context.close();
});

test('works without a network once its own server, which npm start runs, has stopped', async () => {
  const { scripts } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { scripts: { start: string } };
  // The command less its building, which the folder at hand has had.
  const [, serve] = scripts.start.split('&&').map((part) => part.trim());
  expect(serve).toBe('vite preview');
  const server = await startedServer();
  const { context, page, complaints } = await visitor();
  await page.goto(server.url);
  await stored(page);
  await keepSamples(page);
  expect((await page.request.get(server.url)).headers()['vary']).toBe('Origin');
  await server.stop();
  await expect(page.request.get(server.url)).rejects.toThrow();
  await page.reload();
  await measure(page);
  expect(complaints.filter((text) => !unsized.test(text))).toEqual([]);
  await context.close();
});

/** The page's own server as a process of its own, as the README's command starts it. */
async function startedServer(): Promise<{ url: string; stop(): Promise<void> }> {
  const vite = join(root, 'node_modules/vite/bin/vite.js');
  const child = spawn(process.execPath, [vite, 'preview', '--outDir', first, '--host', '127.0.0.1', '--port', '0'], {
    cwd: root,
    env: { ...process.env, NO_COLOR: '1' },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const ended = new Promise<void>((resolve) => child.once('exit', () => resolve()));
  const url = await new Promise<string>((resolve, reject) => {
    let told = '';
    child.stdout.on('data', (text: Buffer) => {
      told += text.toString();
      const found = /http:\/\/127\.0\.0\.1:\d+\//.exec(told);
      if (found !== null) resolve(found[0]);
    });
    child.once('exit', () => reject(new Error(`the server ended: ${told}`)));
  });
  return {
    url,
    stop() {
      child.kill();
      return ended;
    },
  };
}

test('what is fetched until the first room stands there is under 300 kB compressed, and OpenCV is not among it', async () => {
  const { context, page } = await visitor();
  await page.goto(host.url);
  await page.getByRole('button', { name: /sample d6/ }).waitFor();
  const files = host.asked.map((path) => path.slice(UNDER.length) || 'index.html');
  const bytes = files.map((path) => gzipSync(readFileSync(join(first, path))).length);
  expect(files.length).toBeGreaterThan(2);
  expect(bytes.reduce((sum, size) => sum + size, 0)).toBeLessThan(300_000);
  expect(files.filter((path) => path.endsWith('.wasm'))).toEqual([]);
  await context.close();
});

test('the manifest names what an installed page needs, and every file of it is there', () => {
  const manifest = JSON.parse(readFileSync(join(first, 'evencast.webmanifest'), 'utf8')) as {
    start_url: string;
    scope: string;
    display: string;
    icons: { src: string; sizes: string; purpose?: string }[];
  };
  expect([manifest.start_url, manifest.scope, manifest.display]).toEqual(['./', './', 'standalone']);
  const there = readdirSync(first);
  expect(manifest.icons.map(({ src }) => src).filter((src) => !there.includes(src))).toEqual([]);
  // Sizes that browsers ask for before they offer to install (W3C Web Application Manifest; Chromium's criteria, from memory).
  for (const size of ['192x192', '512x512']) expect(manifest.icons.some(({ sizes }) => sizes === size)).toBe(true);
  expect(manifest.icons.some(({ purpose }) => purpose === 'maskable')).toBe(true);
});

test('nothing built holds an absolute address of its own folder', () => {
  const html = readFileSync(join(first, 'index.html'), 'utf8');
  expect(
    [...html.matchAll(/(?:src|href)="([^"]*)"/g)].map(([, url]) => url!).filter((url) => !url.startsWith('./')),
  ).toEqual([]);
});
