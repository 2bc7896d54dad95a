import { mount } from 'svelte';
import App from './App.svelte';
import './app.css';
import { whenIdle } from './kit/when-idle.ts';
import { route } from './kit/route.svelte.ts';
import { offline } from './shell/offline.svelte.ts';
import { bench } from './store/the-bench.ts';

const target = document.getElementById('app');
if (target === null) throw new Error('the page has no #app');
// What stood there until the script came.
target.replaceChildren();
mount(App, { target });

// What is on screen comes first. The development server has nothing to store.
if (import.meta.env.PROD) addEventListener('load', () => setTimeout(() => void offline.start(), 1000), { once: true });

// Most who come measure a die: OpenCV and its workers start while they read, except on a machine or a line that is short of room.
if (['', 'card', 'photos'].includes(route.place.room) && roomy()) whenIdle(() => bench.warm());

function roomy(): boolean {
  const { deviceMemory = 4, connection } = navigator as Navigator & {
    readonly deviceMemory?: number;
    readonly connection?: { readonly saveData?: boolean };
  };
  return deviceMemory >= 4 && connection?.saveData !== true;
}
