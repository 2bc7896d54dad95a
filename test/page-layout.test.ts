import type { Page } from 'playwright';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { DieKind } from '../src/geometry/solid.ts';
import type { MeasureResult } from '../src/formats/result.ts';
import { recordBytes, reportRecord } from '../src/report/record/record.ts';
import { madeResult } from './support/made-result.ts';
import { shareOf } from './support/share.ts';
import { servedPage, type ServedPage } from './support/served-page.ts';
import { bareInput } from './support/bare-input.ts';

/** Every room is looked at in a telephone's window and a desk's, with every die; */
const WIDTHS = [360, 1280] as const;
/** in those between and beyond with one die in one language. */
const OTHER_WIDTHS = [390, 768, 2560] as const;
const SAMPLED = { locale: 'de-DE', kind: 'd20' } as const;
/** Of the other dice the gate looks at so many rooms each, by turns. */
const ROOMS_EACH = 3;
const LOCALES = ['en-GB', 'de-DE'] as const;
const KINDS = ['d4', 'd6', 'd20'] as const;
const LOOKED_AT = LOCALES.flatMap((locale) => KINDS.map((kind) => ({ locale, kind }))).map((look, row) => ({
  ...look,
  row,
}));
/** As long as somebody may call a die, with and without places to break. */
const NAME = 'Walnussholzwürfelsammlungsstück Nummer siebenundvierzig, dark green, second casting of the spring';

let served: ServedPage;
beforeAll(async () => {
  served = await servedPage();
});
afterAll(() => served.close());

/** A result whose axes have two lengths, over the faces and at their edges, as measuring gives it: the axes' table is widest then. */
const withEdges = (result: MeasureResult): MeasureResult => ({
  ...result,
  axes: result.axes.map((a) => ({ ...a, length: a.length + 0.02, lengthAtEdges: { value: a.length, u: a.u / 10 } })),
  meanAxis: { ...result.meanAxis, value: result.meanAxis.value + 0.02 },
  faces: result.faces.map((f) => ({ ...f, crown: { value: 0.01, u: 0.005 } })),
});

/** A report's data, as the page opens them: a die without having to be measured. */
function reportFile(kind: DieKind): { name: string; mimeType: string; buffer: Buffer } {
  const record = reportRecord({ ...bareInput(withEdges(madeResult(kind))), about: { die: NAME } });
  return { name: `${kind}.json`, mimeType: 'application/json', buffer: Buffer.from(recordBytes(record)) };
}

/** Runs in the page: what is cut, lies upon another, or has to be scrolled sideways. */
function misplaced(): string[] {
  const wide = document.documentElement;
  const found: string[] = [];
  const named = (e: Element): string =>
    `${e.tagName.toLowerCase()}.${String(e.getAttribute('class') ?? '').split(' ')[0]} "${(e.textContent ?? '').trim().slice(0, 30)}"`;
  if (wide.scrollWidth > wide.clientWidth)
    found.push(`page wider than its window by ${wide.scrollWidth - wide.clientWidth} px`);
  const reach: DOMRect[] = [];
  const held: Element[] = [];
  for (const e of document.querySelectorAll<HTMLElement>('body *')) {
    const style = getComputedStyle(e);
    if (style.visibility === 'hidden' || e.closest('.unseen, .skip, h1, svg, canvas') !== null) continue;
    const box = e.getBoundingClientRect();
    if (box.width === 0 || box.height === 0) continue;
    if (/auto|scroll/.test(style.overflowX) && e.scrollWidth > e.clientWidth + 1)
      found.push(`scrolled sideways: ${named(e)}`);
    const clips = !e.matches('input, textarea') && /hidden|clip/.test(style.overflowX);
    if (clips && style.textOverflow !== 'ellipsis' && e.scrollWidth > e.clientWidth + 1) found.push(`cut: ${named(e)}`);
    if (box.right > wide.clientWidth + 1 || box.left < -1) found.push(`beyond the window: ${named(e)}`);
    if (e.matches('button, a, input, select, summary, .button') && e.closest('nav, .work') === null) {
      reach.push(box);
      held.push(e);
    }
  }
  for (let i = 0; i < reach.length; i++)
    for (let j = i + 1; j < reach.length; j++) {
      const [a, b] = [reach[i]!, reach[j]!];
      if (held[i]!.contains(held[j]!) || held[j]!.contains(held[i]!)) continue;
      const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (across > 2 && down > 2) found.push(`upon each other: ${named(held[i]!)} and ${named(held[j]!)}`);
    }
  return [...new Set(found)].slice(0, 6);
}

const frames = (page: Page): Promise<void> =>
  page.evaluate(async () => {
    for (let k = 0; k < 3; k++) await new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve)));
  });

test.concurrent.each(LOOKED_AT)(
  '$locale, with a $kind of a long name nothing is cut, lies upon another or has to be scrolled sideways, in any room',
  async ({ locale, kind, row }) => {
    const page = await (await served.visitor({ locale })).newPage();
    await page.goto(`${served.url}#/report`);
    await page
      .locator('section:has(#report-check) input[type=file]')
      .first()
      .setInputFiles([reportFile(kind)]);
    await page.getByRole('button', { name: /^(Show it as a die|Als Würfel zeigen)$/ }).click();
    await page.locator('#result').waitFor();
    const rooms = await page.locator('nav a').evaluateAll((links) => links.map((link) => link.getAttribute('href')!));
    expect(rooms.length).toBeGreaterThanOrEqual(9);
    const wrong: string[] = [];
    for (const room of kind === SAMPLED.kind ? rooms : shareOf(rooms, row, ROOMS_EACH)) {
      await page.evaluate((hash) => (location.hash = hash), room);
      await page.locator(`nav a[href="${room}"][aria-current=page]`).waitFor({ state: 'attached' });
      await page.locator('main h2').first().waitFor();
      const sampled = locale === SAMPLED.locale && kind === SAMPLED.kind;
      if (sampled && room === '#/lots') {
        await page.getByRole('button', { name: 'Erfundenes Los zeigen' }).click();
        await page.locator('main table').first().waitFor();
      }
      await frames(page);
      // What is folded unfolds too, and what is folded in it.
      for (let k = 0; k < 2; k++)
        await page.evaluate(() =>
          document.querySelectorAll('main details').forEach((each) => ((each as HTMLDetailsElement).open = true)),
        );
      for (const width of [...WIDTHS, ...(sampled ? OTHER_WIDTHS : [])]) {
        await page.setViewportSize({ width, height: 844 });
        await frames(page);
        for (const fault of await page.evaluate(misplaced)) wrong.push(`${room} ${width}: ${fault}`);
      }
    }
    expect(wrong).toEqual([]);
    await page.context().close();
  },
);

test.each(['en-GB', 'de-DE'])('on a telephone the whole answer stands on the first screen (%s)', async (locale) => {
  const page = await (await served.visitor({ locale, viewport: { width: 390, height: 844 } })).newPage();
  await page.goto(`${served.url}#/report`);
  await page
    .locator('section:has(#report-check) input[type=file]')
    .first()
    .setInputFiles([reportFile('d20')]);
  await page.getByRole('button', { name: /^(Show it as a die|Als Würfel zeigen)$/ }).click();
  await page.locator('#result').waitFor();
  await page.waitForFunction(() => scrollY === 0);
  const [bottom, bar] = await page.evaluate(
    () =>
      [
        Math.max(
          ...[...document.querySelectorAll('.answer .sentence, .answer .track, .answer .surer, .answer .die')].map(
            (e) => e.getBoundingClientRect().bottom,
          ),
        ),
        document.querySelector('nav')!.getBoundingClientRect().top,
      ] as const,
  );
  expect(bottom).toBeGreaterThan(300);
  expect(bottom).toBeLessThanOrEqual(bar);
  await page.context().close();
});
