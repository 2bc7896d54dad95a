/** A pause of this length ends an entry, ms; well below the time after which whatever was typed is to be kept. */
const PAUSE = 700;

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
