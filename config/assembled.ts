import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { main } from 'assemblyscript/asc';

/**
 * Translates what stands in `assembly` to WebAssembly: `npx tsx config/assembled.ts` writes each module as text into the folder that uses it, so that
 * page, worker, thread and test all have it without a loader. A test holds source and text together.
 */
const root = join(import.meta.dirname, '..');

interface Assembled {
  readonly source: string;
  /** Where its text stands, and as which constant. */
  readonly file: string;
  readonly name: string;
  /** Pages of memory that it starts with. */
  readonly pages: number;
}
export const ASSEMBLED = {
  throws: {
    source: 'assembly/throws/throws.ts',
    file: 'src/bias/throws/throws-module.ts',
    name: 'THROWS_MODULE',
    pages: 1,
  },
  pixels: {
    source: 'assembly/pixels/pixels.ts',
    file: 'src/vision/pixels-module.ts',
    name: 'PIXELS_MODULE',
    pages: 1,
  },
  edges: { source: 'assembly/edges/edges.ts', file: 'src/vision/edges-module.ts', name: 'EDGES_MODULE', pages: 3 },
  faces: { source: 'assembly/faces/faces.ts', file: 'src/faces/faces-module.ts', name: 'FACES_MODULE', pages: 6 },
  fits: { source: 'assembly/fits/fits.ts', file: 'src/fit/fits-module.ts', name: 'FITS_MODULE', pages: 8 },
} as const satisfies Record<string, Assembled>;

/** Optimised, without a heap; pairs pass between the module's own functions only, whatever the compiler fears of its exports. */
const OPTIONS = '-O3 --converge --noAssert --runtime stub --enable simd --disableWarning 112';

/** The module's bytes. */
async function bytesOf({ source, pages }: Assembled): Promise<Uint8Array> {
  const folder = await mkdtemp(join(tmpdir(), 'evencast-assembled-'));
  const out = join(folder, 'module.wasm');
  try {
    const { error, stderr } = await main([
      source,
      ...OPTIONS.split(' '),
      '--initialMemory',
      String(pages),
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

/** The module as the program's own source has it, and where that is. */
export async function assembledText(module: Assembled): Promise<{ readonly path: string; readonly text: string }> {
  const bytes = Buffer.from(await bytesOf(module)).toString('base64');
  const folder = module.source.slice(0, module.source.lastIndexOf('/'));
  const text = `/** What \`npx tsx config/assembled.ts\` makes of \`${folder}\`, base64. */\nexport const ${module.name} =\n  '${bytes}';\n`;
  return { path: join(root, module.file), text };
}

if (process.argv[1] === import.meta.filename)
  for (const module of Object.values(ASSEMBLED)) {
    const { path, text } = await assembledText(module);
    await writeFile(path, text);
  }
