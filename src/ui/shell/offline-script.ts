/** Name of the script that serves the page without a network, beside index.html; `config/offline-plugin.ts` writes it. */
export const OFFLINE_SCRIPT = 'offline.js';
