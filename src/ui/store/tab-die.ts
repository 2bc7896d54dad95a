import { untrack } from 'svelte';
import { keptSettings } from '../kit/kept-settings.svelte.ts';

/** Which die a tab had open outlives its reload. */
const TAB_DIE = 'evencast-die';

/** Id of the die that this tab, or else the last one, had on its bench; undefined where none is known. */
export function lastDie(): string | undefined {
  return sessionDie() ?? (keptSettings.get('last-die') as string | undefined);
}

/** @param id  Empty for a bench that was cleared. */
export function rememberDie(id: string): void {
  untrack(() => keptSettings.set('last-die', id));
  try {
    sessionStorage.setItem(TAB_DIE, id);
  } catch {
    // Then the die opened last in any tab comes back.
  }
}

function sessionDie(): string | null {
  try {
    return sessionStorage.getItem(TAB_DIE);
  } catch {
    return null;
  }
}
