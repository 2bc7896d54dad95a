/** Times a set of photos in the built page, from handing them over to the answer: `npm run bench -- photos FOLDER [--runs N] [--root CHECKOUT]`. */
import { readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { chromium } from 'playwright';
import { withBuiltPage } from './with-built-page.ts';
import { CHROMIUM_FLAGS, findChromium, HOW_TO_GET_CHROMIUM } from './chromium.ts';

export interface PhotosFigures {
  /** From handing the photos over and asking for the result to the answer, s. */
  readonly seconds: number;
  /** Resident memory that the page's process had at its most, workers included, MB; null where the system does not say (Linux does). */
  readonly memory: number | null;
}

/** One run in a fresh browser: nothing is warm. */
async function once(url: string, files: readonly string[]): Promise<PhotosFigures> {
  const executablePath = findChromium();
  if (executablePath === undefined) throw new Error(HOW_TO_GET_CHROMIUM);
  const browser = await chromium.launch({ executablePath, args: CHROMIUM_FLAGS });
  try {
    const page = await browser.newPage({ locale: 'en-GB', serviceWorkers: 'block' });
    page.setDefaultTimeout(600_000);
    await page.goto(url);
    await page.getByRole('button', { name: /sample d6/ }).waitFor();
    const input = page.locator('input[type=file]').first();
    await input.waitFor({ state: 'attached' });
    const began = performance.now();
    await input.setInputFiles([...files]);
    await page.getByRole('button', { name: /^\s*Measure/ }).click();
    await page.locator('.answer .sentence').waitFor();
    return { seconds: (performance.now() - began) / 1000, memory: peakMemory() };
  } finally {
    await browser.close();
  }
}

/** The most resident memory, MB, that any page's process below this one had. Source: proc(5), VmHWM. */
function peakMemory(): number | null {
  const status = (id: string): string => {
    try {
      return readFileSync(`/proc/${id}/status`, 'utf8');
    } catch {
      return '';
    }
  };
  const ids = process.platform === 'linux' ? readdirSync('/proc').filter((name) => /^\d+$/.test(name)) : [];
  const parents = new Map(ids.map((id) => [id, /^PPid:\s*(\d+)/m.exec(status(id))?.[1] ?? '0']));
  const isOurs = (id: string): boolean => {
    for (let at: string | undefined = id; at !== undefined && at !== '0'; at = parents.get(at))
      if (at === String(process.pid)) return true;
    return false;
  };
  const peaks = ids.flatMap((id) => {
    if (!isOurs(id) || !commandOf(id).includes('--type=renderer')) return [];
    const kB = /^VmHWM:\s*(\d+) kB/m.exec(status(id))?.[1];
    return kB === undefined ? [] : [Number(kB) / 1024];
  });
  return peaks.length === 0 ? null : Math.max(...peaks);
}

function commandOf(id: string): string {
  try {
    return readFileSync(`/proc/${id}/cmdline`, 'utf8');
  } catch {
    return '';
  }
}

const FILES = /\.jpe?g$|^job\.json$/i;

/** Builds the page, serves it, and prints each run. @returns The exit code. */
export async function run(args: readonly string[]): Promise<number> {
  const { values, positionals } = parseArgs({
    args: [...args],
    allowPositionals: true,
    options: { runs: { type: 'string', default: '3' }, root: { type: 'string' } },
  });
  if (positionals.length !== 1) {
    process.stderr.write('usage: npm run bench -- photos FOLDER [--runs N] [--root CHECKOUT]\n');
    return 2;
  }
  const folder = resolve(positionals[0]!);
  const files = readdirSync(folder)
    .filter((name) => FILES.test(name))
    .sort()
    .map((name) => join(folder, name));
  await withBuiltPage(
    async ({ url }) => {
      const seconds: number[] = [];
      for (let r = 0; r < Math.max(1, Number(values.runs) || 1); r++) {
        const f = await once(url, files);
        seconds.push(f.seconds);
        const memory = f.memory === null ? 'not told' : `${f.memory.toFixed(0)} MB`;
        process.stdout.write(
          `${files.length} files to the answer: ${f.seconds.toFixed(2)} s; most memory of the page ${memory}\n`,
        );
      }
      process.stdout.write(`least: ${Math.min(...seconds).toFixed(2)} s\n`);
    },
    values.root === undefined ? undefined : resolve(values.root),
  );
  return 0;
}
