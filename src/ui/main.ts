import { mount } from 'svelte';
import App from './App.svelte';
import './app.css';
import { fileOfDice } from './store/file-of-dice.ts';
import { offline } from './shell/offline.svelte.ts';

const target = document.getElementById('app');
if (target === null) throw new Error('the page has no #app');
// What stood there until the script came.
target.replaceChildren();
mount(App, { target });

/** What is on screen comes first; what may be needed later waits so long, ms. */
const LATER = 1000;
addEventListener('load', () => setTimeout(later, LATER), { once: true });

function later(): void {
  fileOfDice().catch(() => undefined);
  // The development server has nothing to store.
  if (import.meta.env.PROD) void offline.start();
  void import('./shell/warm-up.ts').then(({ warmUp }) => warmUp()).catch(() => undefined);
}
