import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { main } from 'assemblyscript/asc';

/**
 * Translates `assembly/throws` to WebAssembly: `npx tsx config/throws-module.ts` writes it as text into `src/bias/throws/throws-module.ts`, so that page,
 * worker, thread and test all have it without a loader. A test holds the two together.
 */
const root = join(import.meta.dirname, '..');
export const THROWS_MODULE_FILE = join(root, 'src/bias/throws/throws-module.ts');
/** Optimised, without a heap; pairs pass between the module's own functions only, whatever the compiler fears of its exports. */
const OPTIONS = '-O3 --converge --noAssert --runtime stub --enable simd --initialMemory 1 --disableWarning 112';

/** The module's bytes. */
export async function throwsModule(): Promise<Uint8Array> {
  const folder = await mkdtemp(join(tmpdir(), 'evencast-throws-'));
  const out = join(folder, 'throws.wasm');
  try {
    const { error, stderr } = await main([
      'assembly/throws/throws.ts',
      ...OPTIONS.split(' '),
      '--baseDir',
      root,
      '--outFile',
      out,
    ]);
    if (error) throw new Error(`${error.message}\n${stderr.toString()}`);
    return await readFile(out);
  } finally {
    await rm(folder, { recursive: true });
  }
}

/** The module as the page's own source has it. */
export const throwsModuleText = (bytes: Uint8Array): string =>
  `/** What \`npx tsx config/throws-module.ts\` makes of \`assembly/throws\`, base64. */\nexport const THROWS_MODULE =\n  '${Buffer.from(bytes).toString('base64')}';\n`;

if (process.argv[1] === import.meta.filename)
  await writeFile(THROWS_MODULE_FILE, throwsModuleText(await throwsModule()));
