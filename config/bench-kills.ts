import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { chromium, type BrowserContext, type Page } from 'playwright';
import { seededRandom } from '../src/maths/random.ts';
import { CHROMIUM_FLAGS, findChromium, HOW_TO_GET_CHROMIUM } from './chromium.ts';
import { withBuiltPage } from './with-built-page.ts';

/** Rooms that hold fields of their own, by their addresses. */
const ROOMS = ['card', 'photos', 'shape', 'rolls', 'report', 'lots', 'bin', 'check'] as const;
/** What is entered counts as kept so long after the last letter at the latest, ms: the page's own promise is two seconds. */
const PROMISE = 2000;
/** Fields that a person can type in; what is only searched or played with is not entered. */
const FIELDS =
  'main input:is([type=text], [type=number], :not([type])):not([readonly], [disabled], [inputmode=none]), main textarea:not([readonly], [disabled])';

interface Field {
  readonly room: string;
  /** Its place among the fields of its room. */
  readonly index: number;
  readonly label: string;
}

/** Texts for a field: a number where it asks for one. */
function textFor(numeric: boolean, draw: () => number): string {
  if (numeric) return (95 + Math.floor(100 * draw()) / 10).toFixed(1);
  return `entered ${Math.floor(1e6 * draw())}`;
}

async function opened(context: BrowserContext, url: string, room: string): Promise<Page> {
  const page = await context.newPage();
  page.setDefaultTimeout(60_000);
  await page.goto(`${url}#/${room}`);
  await page.locator('main h2').first().waitFor();
  // What was kept comes back in some milliseconds.
  await page.waitForTimeout(400);
  for (let round = 0; round < 2; round++) {
    await page.evaluate(() => document.querySelectorAll('main details').forEach((d) => d.setAttribute('open', '')));
    await page.waitForTimeout(200);
  }
  return page;
}

/** A measured die, an invented lot and a printed card, so that every room has its fields. */
async function furnished(context: BrowserContext, url: string): Promise<void> {
  const page = await opened(context, url, '');
  await page.getByRole('button', { name: /sample d6/ }).click();
  await page.getByRole('heading', { name: 'Result', exact: true }).waitFor();
  await page.evaluate(() => (location.hash = '#/lots'));
  await page.getByRole('button', { name: 'Show an invented lot' }).click();
  await page.evaluate(() => (location.hash = '#/card'));
  await page.getByRole('button', { name: 'Add a printed card' }).click();
  await page.waitForFunction(() => document.documentElement.dataset['kept'] === 'true');
  await page.close();
}

/** Names of the fields of a room, in their order. */
const fieldsOf = (page: Page): Promise<{ label: string; numeric: boolean }[]> =>
  // No function with a name of its own in here: the loader would want a helper that the page does not have.
  page.evaluate(
    (selector) =>
      [...document.querySelectorAll<HTMLInputElement>(selector)]
        .filter((e) => e.getClientRects().length > 0)
        .map((e) => ({
          label: e.labels?.[0]?.textContent?.trim() ?? e.getAttribute('aria-label') ?? e.id,
          numeric: e.type === 'number' || /decimal|numeric/.test(e.inputMode),
        })),
    FIELDS,
  );

const field = (page: Page, index: number) => page.locator(FIELDS).filter({ visible: true }).nth(index);

/** Ends the tab's process, as a crash does. */
async function crashed(context: BrowserContext, page: Page): Promise<void> {
  const session = await context.newCDPSession(page);
  const gone = page.waitForEvent('crash');
  void session.send('Page.crash').catch(() => undefined);
  await gone;
  await page.close();
}

interface Tally {
  kills: number;
  lost: string[];
  /** Typed, and refused by the field itself: it said so, and kept what stood there before. */
  refused: number;
  /** Killed before it was called kept: nothing was promised. */
  early: number;
  readonly fields: Set<string>;
}

/** Types in one field, kills the tab, and looks whether it is there. */
async function one(context: BrowserContext, url: string, draw: () => number, tally: Tally): Promise<void> {
  const room = ROOMS[Math.floor(draw() * ROOMS.length)]!;
  let page = await opened(context, url, room);
  const fields = await fieldsOf(page);
  if (fields.length === 0) return page.close();
  const index = Math.floor(draw() * fields.length);
  const { label, numeric } = fields[index]!;
  const at: Field = { room, index, label };
  await field(page, index).fill('');
  await field(page, index).pressSequentially(textFor(numeric, draw));
  // Half of them at any moment after the last letter, half after the promise has run out.
  const atOnce = draw() < 0.5;
  await page.waitForTimeout(atOnce ? 1000 * draw() : PROMISE + 400 * draw());
  const isKept = (): Promise<boolean> => page.evaluate(() => document.documentElement.dataset['kept'] === 'true');
  if (!atOnce)
    await page.waitForFunction(() => document.documentElement.dataset['kept'] === 'true', null, { timeout: 20_000 });
  const typed = await field(page, index).inputValue();
  const wasKept = await isKept();
  const isRefused = (await field(page, index).getAttribute('aria-invalid')) === 'true';
  if (draw() < 0.6) await crashed(context, page);
  else await page.close();
  page = await opened(context, url, room);
  const again = await field(page, index)
    .inputValue()
    .catch(() => '(no such field)');
  tally.kills++;
  tally.fields.add(`${at.room}: ${at.label}`);
  if (isRefused) tally.refused++;
  else if (!wasKept) tally.early++;
  else if (again !== typed) {
    tally.lost.push(`${at.room}: ${at.label}: typed ${JSON.stringify(typed)}, there is ${JSON.stringify(again)}`);
    process.stdout.write(`LOST ${tally.lost.at(-1)}\n`);
  }
  await page.close();
}

/** Builds and serves the page, and kills it. @returns The exit code. */
export async function run(args: readonly string[]): Promise<number> {
  const { values } = parseArgs({
    args: [...args],
    options: { count: { type: 'string', default: '200' }, seed: { type: 'string', default: '1' } },
  });
  const executablePath = findChromium();
  if (executablePath === undefined) throw new Error(HOW_TO_GET_CHROMIUM);
  const draw = seededRandom(Number(values.seed));
  const tally: Tally = { kills: 0, lost: [], refused: 0, early: 0, fields: new Set() };
  await withBuiltPage(async ({ url, outDir }) => {
    const start = (): Promise<BrowserContext> =>
      chromium.launchPersistentContext(join(outDir, 'profile'), {
        executablePath,
        args: CHROMIUM_FLAGS,
        locale: 'en-GB',
        serviceWorkers: 'block',
      });
    let context = await start();
    try {
      await furnished(context, url);
      for (let tries = 0; tally.kills < Number(values.count) && tries < 3 * Number(values.count); tries++) {
        await one(context, url, draw, tally);
        // Now and then the browser itself ends: what it called kept is on its disk.
        if (tries % 20 === 19) {
          await context.close();
          context = await start();
        }
        if (tally.kills % 20 === 0) process.stdout.write(`${tally.kills} kills, ${tally.lost.length} lost\n`);
      }
    } finally {
      await context.close();
    }
  });
  process.stdout.write(
    `${tally.kills} kills in ${tally.fields.size} fields of ${ROOMS.length} rooms: ${tally.lost.length} lost of what was called kept; ${tally.refused} refused by the field, ${tally.early} killed before they were called kept\n`,
  );
  return tally.lost.length === 0 ? 0 : 1;
}
