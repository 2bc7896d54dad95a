import { mount } from 'svelte';
import App from './App.svelte';
import './app.css';
import { offline } from './shell/offline.svelte.ts';

const target = document.getElementById('app');
if (target === null) throw new Error('the page has no #app');
// What stood there until the script came.
target.replaceChildren();
mount(App, { target });

// What is on screen comes first. The development server has nothing to store.
if (import.meta.env.PROD) addEventListener('load', () => setTimeout(() => void offline.start(), 1000), { once: true });
