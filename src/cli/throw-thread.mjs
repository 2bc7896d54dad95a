// Threads do not inherit the loader that lets Node read TypeScript.
import { register } from 'tsx/esm/api';

register();
await import('./throw-worker.ts');
