import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { transformWithOxc, type Plugin } from 'vite';
import { policyHeaders } from './content-policy.ts';
import { OFFLINE_SCRIPT } from '../src/ui/shell/offline-script.ts';

/** Every file below `folder` as [path, digest], in the order of their paths; without the script itself. */
export function listed(folder: string): [path: string, digest: string][] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => name !== OFFLINE_SCRIPT && statSync(join(folder, name)).isFile())
    .map((name) => name.replaceAll('\\', '/'))
    .sort()
    .map((name) => [name, digestOf(readFileSync(join(folder, name)))]);
}

const digestOf = (content: string | Buffer): string => createHash('sha256').update(content).digest('hex').slice(0, 16);

/** Writes the offline script with the list of all files of the built page. */
export function offline(): Plugin {
  return {
    name: 'evencast-offline',
    apply: 'build',
    enforce: 'post',
    async writeBundle({ dir }) {
      if (dir === undefined) return;
      const source = readFileSync(join(import.meta.dirname, '../workers/offline.ts'), 'utf8');
      const { code } = await transformWithOxc(source, 'offline.ts', { sourcemap: false });
      const files = listed(dir);
      const head = [
        `const FILES = ${JSON.stringify(files)};`,
        `const VERSION = '${digestOf(JSON.stringify(files))}';`,
        `const POLICY = ${JSON.stringify(policyHeaders)};`,
      ];
      // A classic script: every browser that knows service workers takes it.
      const body = code.replace(/^export \{\};?$/m, '');
      writeFileSync(join(dir, OFFLINE_SCRIPT), `(() => {\n${head.join('\n')}\n${body}\n})();\n`);
    },
  };
}
