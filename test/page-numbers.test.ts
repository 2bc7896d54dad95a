import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { servedPage, type ServedPage } from './support/served-page.ts';

const samples = join(import.meta.dirname, '../samples');
interface SampleJob {
  readonly die: string;
  readonly shots: readonly { readonly photo: string; readonly up: number; readonly front: number }[];
}
const jobOf = (sample: string): SampleJob =>
  JSON.parse(readFileSync(join(samples, sample, 'job.json'), 'utf8')) as SampleJob;

let served: ServedPage;
let page: Page;
beforeAll(async () => {
  served = await servedPage();
  page = await (await served.visitor()).newPage();
  await page.goto(served.url);
});
afterAll(() => served.close());

/** A name that tells nothing. */
const nameOf = (i: number): string => `${String.fromCharCode(97 + i)}.jpg`;

/** Hands a sample's photos over without its job, under names that tell nothing. */
async function drop(sample: string): Promise<void> {
  const files = jobOf(sample).shots.map(({ photo }, i) => ({
    name: nameOf(i),
    mimeType: 'image/jpeg',
    buffer: readFileSync(join(samples, sample, photo)),
  }));
  await page.locator('input[type=file]').first().setInputFiles(files);
}

test('from photos to a result of a d20 in two actions: nothing typed, no number wrong, none guessed', async () => {
  await drop('d20');
  // What the faces tell stands there before anything is measured.
  await page
    .getByText(/Read from the faces/)
    .first()
    .waitFor();
  const { shots } = jobOf('d20');
  await expect.poll(() => page.getByLabel('Kind of die', { exact: true }).inputValue()).toBe('d20');
  const told = (which: 'Up' | 'Front'): Promise<string[]> =>
    Promise.all(shots.map((_, i) => page.getByLabel(`${which}, ${nameOf(i)}`).inputValue()));
  const known = async (): Promise<number> => (await told('Up')).filter((up) => up !== '').length;
  await expect.poll(known).toBeGreaterThanOrEqual(Math.ceil(0.95 * shots.length));
  const [ups, fronts] = [await told('Up'), await told('Front')];
  for (const [i, { up, front }] of shots.entries())
    if (ups[i] !== '') expect([ups[i], fronts[i]], nameOf(i)).toEqual([String(up), String(front)]);
  // What the axes are so far stands there, too.
  await page.getByRole('heading', { name: `So far, from ${shots.length} photos` }).waitFor();
  expect(await page.getByRole('img', { name: 'Axes against their mean, so far' }).textContent()).toContain('1-20');
  await page.getByRole('button', { name: 'Measure', exact: true }).click();
  await page.getByRole('heading', { name: 'Result', exact: true }).waitFor();
  await page.getByText('The faces, unfolded').first().waitFor();
});

test('a number put right by tapping what is seen counts, is contradicted openly, and can be undone', async () => {
  await page.getByRole('navigation').getByRole('link', { name: 'Photos', exact: true }).click();
  await page.getByRole('heading', { name: 'Photos', exact: true }).waitFor();
  expect(await page.getByRole('heading', { name: /^So far/ }).count()).toBe(0);
  const row = page.locator('li', { hasText: 'a.jpg' });
  const [first] = jobOf('d20').shots;
  await row.getByRole('button', { name: 'Put right' }).click();
  // Another number than the face bears.
  const wrong = first!.up === 7 ? '13' : '7';
  await row
    .getByRole('group', { name: /Which number/ })
    .getByRole('button', { name: wrong, exact: true })
    .click();
  await row
    .getByRole('group', { name: /And on this one/ })
    .getByRole('button')
    .first()
    .click();
  await row.getByText(/The faces do not show/).waitFor();
  await page.keyboard.press('Control+z');
  await expect.poll(() => page.getByLabel('Up, a.jpg').inputValue()).toBe(String(first!.up));
});
