import { SvelteSet } from 'svelte/reactivity';

/** A pause of this length ends an entry, ms; well below the time after which whatever was typed is to be kept. */
const PAUSE = 700;

/** Fields that were typed in and whose entry has not ended; what ends each. While there is one, not everything is kept. */
const open = new SvelteSet<() => void>();

/** Whether something is being typed that whoever keeps it has not been told of. */
export const isTyping = (): boolean => open.size > 0;

/** Ends every entry: its field may be gone in a moment, with its room or with the page. */
export function endTyping(): void {
  for (const end of [...open]) end();
}
addEventListener('pagehide', endTyping);

/**
 * Action for fields, or what holds them: a pause in typing counts as leaving the field (its `change` comes then, and not only when
 * the field is left), so that what was typed is kept although the page is closed with the cursor in it.
 */
export function pausedTyping(node: HTMLElement): { destroy(): void } {
  let timer: ReturnType<typeof setTimeout> | undefined;
  let last: EventTarget | null = null;
  const stop = (): void => {
    clearTimeout(timer);
    last = null;
    open.delete(end);
  };
  const end = (): void => {
    const field = last;
    stop();
    if (field instanceof Element && field.isConnected) field.dispatchEvent(new Event('change', { bubbles: true }));
  };
  const typed = ({ target }: Event): void => {
    if (last !== null && last !== target) end();
    stop();
    last = target;
    open.add(end);
    timer = setTimeout(end, PAUSE);
  };
  node.addEventListener('input', typed);
  node.addEventListener('change', stop);
  return {
    destroy() {
      stop();
      node.removeEventListener('input', typed);
      node.removeEventListener('change', stop);
    },
  };
}
