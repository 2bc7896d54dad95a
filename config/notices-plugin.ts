import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { Plugin } from 'vite';

/** Puts the licence and the third-party notices beside the built page. */
export function notices(): Plugin {
  return {
    name: 'evencast-notices',
    apply: 'build',
    async generateBundle() {
      for (const name of ['LICENSE', 'THIRD-PARTY.md']) {
        const source = await readFile(join(import.meta.dirname, '..', name), 'utf8');
        this.emitFile({ type: 'asset', fileName: name.replace(/\.md$/, '') + '.txt', source });
      }
    },
  };
}
