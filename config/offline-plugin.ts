import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { transformWithOxc, type Plugin } from 'vite';
import { policyHeaders } from './content-policy.ts';
import { OFFLINE_SCRIPT } from '../src/ui/shell/offline-script.ts';

/** A file of the built page: its path, a digest of its content, and how it is kept. */
export type ListedFile = [path: string, digest: string, keep: 'whole' | 'packed' | 'offered'];

/** The samples' photos and the notices of other people's work are kept once they have been looked at. */
const OFFERED = /\.jpg$|^THIRD-PARTY\.txt$/;
/** Text, WebAssembly and fonts above this many bytes are stored packed, unless the first room waits for them. */
const PACKED_FROM = 20_000;
const PACKABLE = /\.(js|css|json|wasm|ttf|svg)$/;
const FIRST_ROOM = /^assets\/(index|language|StartRoom|vision\.worker)[^/]*$/;

function keepOf(name: string, bytes: number): ListedFile[2] {
  if (OFFERED.test(name)) return 'offered';
  return bytes >= PACKED_FROM && PACKABLE.test(name) && !FIRST_ROOM.test(name) ? 'packed' : 'whole';
}

/** Every file below `folder`, in the order of their paths; without the script itself. */
export function listed(folder: string): ListedFile[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => name !== OFFLINE_SCRIPT && statSync(join(folder, name)).isFile())
    .map((name) => name.replaceAll('\\', '/'))
    .sort()
    .map((name) => {
      const content = readFileSync(join(folder, name));
      return [name, digestOf(content), keepOf(name, content.length)];
    });
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
