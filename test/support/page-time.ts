import type { Page } from 'playwright';

/** Waits two seconds as the page's own timers count them: a page that hardly gets its turn, on a busy machine, counts slower. */
export const twoSeconds = (page: Page): Promise<void> =>
  page.evaluate(async () => {
    for (let k = 0; k < 100; k++) await new Promise((resolve) => setTimeout(resolve, 20));
  });

/**
 * Waits until a page has come to rest: nothing of its document has changed for some frames, however long frames take. What moves for
 * ever, such as a bar of progress, is not waited for longer than some seconds.
 */
export const settled = (page: Page): Promise<void> =>
  page.evaluate(async () => {
    const [still, most] = [6, 200];
    let changes = 0;
    const watch = new MutationObserver(() => changes++);
    watch.observe(document, { subtree: true, childList: true, attributes: true, characterData: true });
    for (let quiet = 0, frames = 0; quiet < still && frames < most; frames++) {
      const before = changes;
      await new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve)));
      quiet = changes === before ? quiet + 1 : 0;
    }
    watch.disconnect();
  });
