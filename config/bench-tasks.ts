import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright';

/** What somebody comes for, with how many actions (clicks, choices, drops) it takes and how long until it is there. */
export interface TaskFigures {
  readonly task: string;
  readonly actions: number;
  /** At most so many are promised. */
  readonly most: number;
  readonly seconds: number;
}

const samples = join(import.meta.dirname, '../samples');
const photosOf = (kind: string): string[] =>
  readdirSync(join(samples, kind))
    .filter((name) => name.endsWith('.jpg'))
    .map((name) => join(samples, kind, name));

/** Counts and times one task. */
class Tally {
  #actions = 0;
  readonly #from = performance.now();

  async act(action: Promise<unknown>): Promise<void> {
    this.#actions++;
    await action;
  }

  figures(task: string, most: number): TaskFigures {
    return { task, actions: this.#actions, most, seconds: (performance.now() - this.#from) / 1000 };
  }
}

/** Does what people come for on a page that was just opened, one after another. */
export async function taskFigures(page: Page): Promise<TaskFigures[]> {
  const button = (name: string | RegExp) => page.getByRole('button', { name });
  const room = (name: string) => page.getByRole('navigation').getByRole('link', { name, exact: true });
  const answer = page.locator('.answer .sentence');
  const files = page.locator('input[type=file]');
  const found: TaskFigures[] = [];

  await button(/sample d6/).waitFor();
  let tally = new Tally();
  await tally.act(button(/sample d6/).click());
  await answer.waitFor();
  found.push(tally.figures('sample d6 to its answer', 1));

  // A second die: photos chosen on the first room, of which the page asks whose they are.
  await room('Start').click();
  await files.first().waitFor({ state: 'attached' });
  tally = new Tally();
  await tally.act(files.first().setInputFiles(photosOf('d20')));
  await tally.act(button('A new die').click());
  await tally.act(page.getByLabel('Kind of die').selectOption('d20'));
  await tally.act(button(/^\s*Measure/).click());
  await answer.waitFor();
  found.push(tally.figures('second die, a d20, with photos to its answer', 4));

  await button('New die').click();
  await room('Start').click();
  await files.first().waitFor({ state: 'attached' });
  tally = new Tally();
  await tally.act(files.first().setInputFiles(photosOf('d20')));
  await tally.act(button(/^\s*Measure/).click());
  await answer.waitFor();
  found.push(tally.figures('own d20 with photos to its answer (the kind as last)', 3));

  tally = new Tally();
  await tally.act(room('Shelf').click());
  const boxes = page.locator('.shelf input[type=checkbox]');
  await boxes.nth(1).waitFor();
  await tally.act(boxes.nth(0).check());
  await tally.act(boxes.nth(1).check());
  await page.locator('article').nth(1).waitFor();
  found.push(tally.figures('two dice compared', 4));

  tally = new Tally();
  await tally.act(room('Report').click());
  const save = button('HTML');
  await save.waitFor();
  await page.waitForFunction(() =>
    [...document.querySelectorAll('button')].some((b) => b.textContent?.trim() === 'HTML' && !b.disabled),
  );
  await Promise.all([page.waitForEvent('download'), tally.act(save.click())]);
  found.push(tally.figures('report saved', 2));

  await room('Bin').click();
  await page.getByLabel('Kind of die').selectOption('d6');
  tally = new Tally();
  await tally.act(page.locator('main input[type=file]').first().setInputFiles(photosOf('d6')));
  await page.locator('.tray svg polygon').first().waitFor({ state: 'attached' });
  found.push(tally.figures('bin of 4 photos to the first verdict', 1));
  return found;
}
