/** Longest wait for a frame, ms: a page that is out of sight paints none. */
const PATIENCE = 100;

/** Resolves in a task of its own after the next painting. */
export const nextFrame = (): Promise<void> =>
  new Promise((resolve) => {
    const late = setTimeout(resolve, PATIENCE);
    requestAnimationFrame(() => {
      clearTimeout(late);
      setTimeout(resolve);
    });
  });
