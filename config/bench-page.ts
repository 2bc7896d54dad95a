/** Times the built page in a real Chromium: `npm run bench -- page [--json]`. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { chromium, type Page } from 'playwright';
import { taskFigures, type TaskFigures } from './bench-tasks.ts';
import { withBuiltPage } from './with-built-page.ts';
import { CHROMIUM_FLAGS, findChromium, HOW_TO_GET_CHROMIUM } from './chromium.ts';

export interface PageFigures {
  /** From the request to the first paint with content, ms. */
  readonly firstPaint: number;
  /** Of all files asked for until the start room stood there, each compressed by gzip, bytes. */
  readonly compressed: number;
  readonly files: number;
  /** From the click on the sample to its result, painted, s: clicked at once, and after the page has stood for so many seconds. */
  readonly sample: number;
  readonly sampleStood: readonly { readonly stood: number; readonly seconds: number }[];
  /** Measuring the sample anew, as a multiple of the time that decoding its photos takes in the same run (stages in the result's `timing`). */
  readonly ratio: number;
  /** Longest wait for a photo's verdict after the one before, ms; the first one's includes starting image processing. */
  readonly verdicts: readonly number[];
  /**
   * Tasks of the page's own thread over 50 ms, ms (W3C Long Tasks): from the click until the result is there, the photos' room
   * being shown among them, and then while the shape's room is shown. Wall-clock time: a busy machine lengthens them.
   */
  readonly longTasks: readonly number[];
  readonly longTasksShowing: readonly number[];
  /** What people come for, in actions and seconds. */
  readonly tasks: readonly TaskFigures[];
}

interface Watch {
  longTasks: { at: number; ms: number }[];
  verdicts: number[];
  /** When the sample's button was clicked first, when its room was gone to, and when its result was painted. */
  clicked: number;
  result: number;
  painted: number;
}

declare global {
  /** In the page that is watched. */

  var watched: Watch;
}

/** Seconds that the page stands before the sample is clicked: amid its test of itself, and after it. */
const STANDING = [2, 8];

/** Runs in the page from its start: notes long tasks, when photos get their verdicts, and when a result is there. Whoever asks from outside again and again is late. */
function watch(): void {
  const state: Watch = { longTasks: [], verdicts: [], clicked: Infinity, result: Infinity, painted: Infinity };
  addEventListener('click', ({ timeStamp }) => (state.clicked = Math.min(state.clicked, timeStamp)), true);
  addEventListener('hashchange', () => {
    if (location.hash === '#/shape') state.result = performance.now();
  });
  globalThis.watched = state;
  new PerformanceObserver((list) => {
    for (const { startTime, duration } of list.getEntries()) state.longTasks.push({ at: startTime, ms: duration });
  }).observe({ type: 'longtask', buffered: true });
  new MutationObserver(() => {
    const judged = document.querySelectorAll('li .state.used, li .state.used-with-remark, li .state.left-out').length;
    while (state.verdicts.length < judged) state.verdicts.push(performance.now());
    if (state.result < Infinity && state.painted === Infinity && document.querySelector('main #result') !== null)
      requestAnimationFrame(() => setTimeout(() => (state.painted = Math.min(state.painted, performance.now()))));
  }).observe(document, { subtree: true, childList: true, characterData: true, attributes: true });
}

const firstPaint = (page: Page): Promise<number> =>
  page.evaluate(
    () =>
      new Promise<number>((resolve) => {
        new PerformanceObserver((list) => {
          for (const entry of list.getEntries()) if (entry.name === 'first-contentful-paint') resolve(entry.startTime);
        }).observe({ type: 'paint', buffered: true });
      }),
  );

/** From the click on the sample to its result in a fresh browser whose page has stood for so long, s. */
async function sampleAfter(url: string, executablePath: string, stood: number): Promise<number> {
  const browser = await chromium.launch({ executablePath, args: CHROMIUM_FLAGS });
  try {
    const page = await browser.newPage({ locale: 'en-GB', serviceWorkers: 'block' });
    page.setDefaultTimeout(120_000);
    await page.addInitScript(watch);
    await page.goto(url);
    const button = page.getByRole('button', { name: /sample d6/ });
    await button.waitFor();
    await page.waitForTimeout(1000 * stood);
    await button.click();
    await page.getByRole('heading', { name: 'Result', exact: true }).waitFor();
    await page.waitForFunction(() => globalThis.watched.painted < Infinity);
    return await page.evaluate(() => (globalThis.watched.painted - globalThis.watched.clicked) / 1000);
  } finally {
    await browser.close();
  }
}

/** Measures the page at `url`, whose files are in `folder`; a fresh browser each time. */
export async function pageFigures(url: string, folder: string): Promise<PageFigures> {
  const executablePath = findChromium();
  if (executablePath === undefined) throw new Error(HOW_TO_GET_CHROMIUM);
  const sampleStood: { stood: number; seconds: number }[] = [];
  for (const stood of STANDING) sampleStood.push({ stood, seconds: await sampleAfter(url, executablePath, stood) });
  const browser = await chromium.launch({ executablePath, args: CHROMIUM_FLAGS });
  try {
    const page = await browser.newPage({ locale: 'en-GB', serviceWorkers: 'block' });
    page.setDefaultTimeout(120_000);
    await page.addInitScript(watch);
    const asked: string[] = [];
    page.on('request', (request) => asked.push(new URL(request.url()).pathname.slice(1) || 'index.html'));
    await page.goto(url);
    const button = page.getByRole('button', { name: /sample d6/ });
    await button.waitFor();
    const files = asked.splice(0).filter((path) => !path.startsWith('blob'));
    const compressed = files.reduce((sum, path) => sum + gzipSync(readFileSync(join(folder, path))).length, 0);
    const paint = await firstPaint(page);
    await button.click();
    await page.getByRole('heading', { name: 'Result', exact: true }).waitFor();
    // Entries of the last tasks come a moment later.
    await page.waitForTimeout(300);
    const { longTasks, verdicts, clicked, result, painted } = await page.evaluate(() => globalThis.watched);
    const ratio = await measuredAgain(page);
    const other = await browser.newPage({
      locale: 'en-GB',
      serviceWorkers: 'block',
      viewport: { width: 1280, height: 800 },
    });
    other.setDefaultTimeout(120_000);
    await other.goto(url);
    const tasks = await taskFigures(other);
    return {
      firstPaint: paint,
      compressed,
      files: files.length,
      sample: (painted - clicked) / 1000,
      sampleStood,
      ratio,
      verdicts: verdicts.map((at, i) => at - (verdicts[i - 1] ?? clicked)),
      longTasks: longTasks.filter(({ at }) => at >= clicked && at < result).map(({ ms }) => ms),
      longTasksShowing: longTasks.filter(({ at }) => at >= result).map(({ ms }) => ms),
      tasks,
    };
  } finally {
    await browser.close();
  }
}

/** Runs after which the code is warm. */
const WARM_RUNS = 3;

/** The sample measured anew in the same page: total over decoding, the least of the runs. */
async function measuredAgain(page: Page): Promise<number> {
  let least = Infinity;
  for (let run = 0; run < WARM_RUNS; run++) {
    await page.getByRole('button', { name: 'New die' }).click();
    await page.evaluate(() => (location.hash = '#/'));
    await page.getByRole('button', { name: /sample d6/ }).click();
    await page.getByRole('heading', { name: 'Result', exact: true }).waitFor();
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('button', { name: 'Save as JSON' }).click(),
    ]);
    const { timing } = JSON.parse(readFileSync(await download.path(), 'utf8')) as { timing: Record<string, number> };
    const total = Object.values(timing).reduce((sum, s) => sum + s, 0);
    least = Math.min(least, total / timing['decode']!);
  }
  return least;
}

/** Builds the page anew, serves it and prints the figures. @returns The exit code. */
export async function run(args: readonly string[]): Promise<number> {
  const figures = await withBuiltPage(({ url, outDir }) => pageFigures(url, outDir));
  process.stdout.write(args.includes('--json') ? `${JSON.stringify(figures, null, 1)}\n` : told(figures));
  return 0;
}

const whole = (values: readonly number[]): string => values.map((v) => v.toFixed(0)).join(', ') || 'none';

const told = (f: PageFigures): string =>
  [
    `first paint            ${f.firstPaint.toFixed(0)} ms, ${(f.compressed / 1000).toFixed(1)} kB in ${f.files} files (gzip)`,
    `sample d6, to result   ${f.sample.toFixed(2)} s clicked at once, ${f.sampleStood.map(({ stood, seconds }) => `${seconds.toFixed(2)} s after ${stood} s`).join(', ')}`,
    `measured again          ${f.ratio.toFixed(2)} times decoding its photos`,
    `verdicts, one by one   ${whole(f.verdicts)} ms`,
    `long tasks meanwhile   ${whole(f.longTasks)} ms (over 50 ms, page's own thread)`,
    `... showing the shape   ${whole(f.longTasksShowing)} ms`,
    ...f.tasks.map(
      (t) =>
        `${t.actions} action${t.actions === 1 ? ' ' : 's'} (at most ${t.most}), ${t.seconds.toFixed(1)} s: ${t.task}`,
    ),
    '',
  ].join('\n');
