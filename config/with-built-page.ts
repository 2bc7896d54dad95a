import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { build, preview } from 'vite';

const ROOT = join(import.meta.dirname, '..');

/** The page as built and served for one run. */
export interface BuiltPage {
  readonly url: string;
  /** Where its files lie; gone afterwards, with whatever was put beside them. */
  readonly outDir: string;
}

/**
 * Builds the page anew, serves it while `use` lasts, and clears both away.
 *
 * @param root  The checkout whose page it is; this one where left out.
 * @returns     What `use` returns.
 */
export async function withBuiltPage<T>(use: (page: BuiltPage) => Promise<T>, root: string = ROOT): Promise<T> {
  const outDir = mkdtempSync(join(tmpdir(), 'evencast-page-'));
  const common = { root, configFile: join(root, 'vite.config.ts'), logLevel: 'silent' } as const;
  try {
    await build({ ...common, build: { outDir, emptyOutDir: true } });
    const server = await preview({ ...common, build: { outDir }, preview: { port: 0, host: '127.0.0.1' } });
    try {
      return await use({ url: server.resolvedUrls!.local[0]!, outDir });
    } finally {
      await server.close();
    }
  } finally {
    rmSync(outDir, { recursive: true });
  }
}
