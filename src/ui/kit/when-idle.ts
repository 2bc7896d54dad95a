/** Longest wait for a quiet moment, ms. */
const PATIENCE = 2000;

/** Does something once the page is loaded and has nothing else to do; a little later where the browser does not tell. */
export function whenIdle(act: () => void): void {
  const soon = (): void => {
    if ('requestIdleCallback' in globalThis) requestIdleCallback(act, { timeout: PATIENCE });
    else setTimeout(act, PATIENCE / 4);
  };
  if (document.readyState === 'complete') soon();
  else addEventListener('load', soon, { once: true });
}
