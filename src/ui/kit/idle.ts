/** Longest wait for an idle moment, ms. */
const PATIENCE = 2000;

/** Resolves when the page has nothing to do; where the browser does not tell, soon. */
export const idle = (): Promise<void> =>
  new Promise((resolve) => {
    if (typeof requestIdleCallback === 'function') requestIdleCallback(() => resolve(), { timeout: PATIENCE });
    else setTimeout(resolve, PATIENCE / 10);
  });
