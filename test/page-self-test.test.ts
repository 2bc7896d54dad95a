import type { Page } from 'playwright';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { servedPage, type ServedPage } from './support/served-page.ts';

let served: ServedPage;
beforeAll(async () => {
  served = await servedPage();
});
afterAll(() => served.close());

/** A page whose visitor does not save data, standing in the room that tells of the test. */
async function standing(before: (page: Page) => Promise<unknown> = () => Promise.resolve()): Promise<Page> {
  const page = await (await served.visitor({}, false)).newPage();
  await before(page);
  await page.goto(`${served.url}#/check`);
  return page;
}

test('a page that stands idle measures the sample, and says in its own room that it came out as known', async () => {
  const page = await standing();
  const line = page.getByText(/measures the sample die as it should: 0\.000\sµm apart, checked today \d+:\d\d/);
  await line.waitFor();
  expect(await page.getByRole('alert').count()).toBe(0);
  // Nothing of it lies on the bench, and the next photos are measured as ever.
  await page.getByRole('navigation').getByRole('link', { name: 'Start', exact: true }).click();
  await page.getByRole('button', { name: /sample d6/ }).click();
  await page.getByRole('heading', { name: 'Result', exact: true }).waitFor();
  await page.context().close();
});

test('where it comes out otherwise, that is said in every room', async () => {
  const page = await standing((opening) =>
    opening.route('**/known-*.js', async (route) => {
      const response = await route.fetch();
      await route.fulfill({ response, body: (await response.text()).replaceAll('15.9', '15.8') });
    }),
  );
  const alert = page.getByRole('alert');
  await alert.getByText('does not measure the sample die as it should: it is 100 µm apart').waitFor();
  await page.getByRole('navigation').getByRole('link', { name: 'Card', exact: true }).click();
  await page.getByRole('heading', { level: 2 }).first().waitFor();
  expect(await alert.count()).toBe(1);
  await page.context().close();
});

test('somebody who clicks at once has it measured once', async () => {
  const asked: string[] = [];
  const page = await (await served.visitor({}, false)).newPage();
  page.on('request', (request) => asked.push(request.url()));
  await page.goto(served.url);
  await page.getByRole('button', { name: /sample d6/ }).click();
  await page.getByRole('heading', { name: 'Result', exact: true }).waitFor();
  expect(asked.filter((url) => /04-6.*\.jpg/.test(url))).toHaveLength(1);
  await page.context().close();
});

test('somebody who saves data is left alone', async () => {
  const page = await (await served.visitor()).newPage();
  const asked: string[] = [];
  page.on('request', (request) => asked.push(request.url()));
  await page.goto(served.url);
  const warmUp = page.waitForResponse(/warm-up/).then((response) => response.finished());
  await page.getByRole('button', { name: /sample d6/ }).hover();
  await warmUp;
  await page.evaluate(() => new Promise((resolve) => setTimeout(resolve, 500)));
  expect(asked.filter((url) => /opencv|\.jpg|vision/.test(url))).toEqual([]);
  await page.context().close();
});
