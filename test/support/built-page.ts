import { join } from 'node:path';
import { build } from 'vite';

const root = join(import.meta.dirname, '../..');

/** Builds the page into a folder as `npm run build` does: a test runner's own NODE_ENV would leave development code in it. */
export async function buildPage(outDir: string): Promise<void> {
  const before = process.env['NODE_ENV'];
  process.env['NODE_ENV'] = 'production';
  try {
    await build({ root, mode: 'production', logLevel: 'silent', build: { outDir, emptyOutDir: true } });
  } finally {
    process.env['NODE_ENV'] = before;
  }
}
