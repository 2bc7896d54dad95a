import { flushSync } from 'svelte';

/** Whether the page is being printed: what is folded unfolds then, also what is made only for it. */
class OnPaper {
  now = $state(false);

  constructor() {
    // Node has no window.
    if (!('addEventListener' in globalThis)) return;
    addEventListener('beforeprint', () => flushSync(() => (this.now = true)));
    addEventListener('afterprint', () => (this.now = false));
  }
}

export const onPaper = new OnPaper();
