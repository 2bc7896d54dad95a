import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize, relative } from 'node:path';
import { expect, test } from 'vitest';

const LOW = ['src/units.ts', 'src/result.ts', 'src/maths', 'src/geometry'] as const;

/** What the files of a folder (or a file) may import: these and their own folder. The first that fits a path holds. */
const MAY_IMPORT: Readonly<Record<string, readonly string[]>> = {
  'src/units.ts': [],
  'src/result.ts': [],
  'src/maths': ['src/units.ts', 'src/result.ts', 'jstat'],
  'src/geometry': ['src/units.ts', 'src/result.ts', 'src/maths'],
  'src/vision': [...LOW],
  'src/fit': [...LOW],
  'src/formats': [...LOW, 'src/vision/picture.ts', 'valibot'],
  'src/text': [...LOW, 'src/formats'],
  'src/photo': [...LOW, 'src/vision', 'src/formats'],
  'src/judging': ['src/maths', 'src/formats'],
  'src/bias': [...LOW, 'src/formats', 'src/text'],
  'src/faces/reader': [...LOW, 'src/faces/face-picture.ts', 'src/faces/face-frame.ts'],
  'src/faces': [...LOW, 'src/vision', 'src/fit', 'src/formats'],
  'src/marks': [...LOW, 'src/vision', 'src/faces'],
  'src/measure': [...LOW, 'src/marks', 'src/vision', 'src/fit', 'src/faces', 'src/formats', 'src/text', 'src/photo'],
  'src/bank-card': [...LOW, 'src/vision', 'src/photo', 'src/formats', 'src/text', 'src/measure'],
  'src/bin': [...LOW, 'src/vision', 'src/fit', 'src/photo', 'src/formats', 'src/text', 'src/measure'],
  'src/live': [...LOW, 'src/vision', 'src/measure'],
  'src/shots': [...LOW, 'src/fit', 'src/formats', 'src/measure'],
  'src/figures': [
    ...LOW,
    'src/vision/tone.ts',
    'src/fit',
    'src/faces',
    'src/formats',
    'src/judging',
    'src/report/record',
    'src/report/forms/letters.ts',
  ],
  'src/lots': [...LOW, 'src/formats', 'src/text', 'valibot'],
  'src/report/forms/pdf.ts': ['src/report', 'src/units.ts', 'pdfkit'],
  'src/report/forms/pdf-canvas.ts': ['src/report', 'src/figures', 'pdfkit', 'fflate'],
  'src/report/forms/letters.ts': ['src/report', 'fontkit'],
  'src/report/check/open-report.ts': ['src/report', 'src/formats', 'src/text', 'src/result.ts', 'fflate'],
  'src/report': [...LOW, 'src/formats', 'src/text', 'src/figures', 'src/judging', 'src/measure', 'src/bias', 'src/lots', 'src/bank-card/size.ts'], // prettier-ignore
  'src/ui/kit/worker-client.ts': ['src/result.ts', 'workers/protocol.ts', 'comlink'],
  'src/ui/report/report-fonts.ts': ['src/report', 'dejavu-fonts-ttf'],
  'src/ui/shape/solid-scene.ts': ['src', 'three'],
  'src/ui': ['src', 'workers', 'svelte', 'idb', 'exifr', 'valibot', 'dejavu-fonts-ttf'],
  'src/cli/peer-engine.ts': ['src', '@dimforge/rapier3d-compat'],
  'src/cli': ['src', 'config', 'node:', 'sharp', 'exifr', 'valibot'],
  workers: ['src', 'virtual:opencv', 'opencv-wasm'],
};
const WORKER_ENTRY = /^workers\/[^/]*\.worker\.ts$/;

const root = join(import.meta.dirname, '..');
const within = (path: string, folder: string): boolean =>
  path === folder || path.startsWith(folder.endsWith(':') ? folder : `${folder}/`);

const files = ['src', 'workers']
  .flatMap((top) => readdirSync(join(root, top), { recursive: true, encoding: 'utf8' }).map((name) => join(top, name)))
  .map((path) => path.replaceAll('\\', '/'))
  .filter((path) => /\.(ts|svelte)$/.test(path) && !path.endsWith('.d.ts'));

/** Every path or package that the text of `file` imports; paths relative to the root. */
function imports(file: string): string[] {
  const found = readFileSync(join(root, file), 'utf8').matchAll(
    /(?:^\s*(?:import|export|\})[^'\n]*\bfrom|\bimport\(|^\s*import|\bURL\()\s*'([^']+)'/gm,
  );
  return [...found].map(([, to]) =>
    to!.startsWith('.') ? normalize(join(dirname(file), to!)).replaceAll('\\', '/') : to!,
  );
}

function allowed(file: string, to: string): boolean {
  const [layer, below] = Object.entries(MAY_IMPORT).find(([folder]) => within(file, folder)) ?? [file, []];
  if (to === 'comlink' && WORKER_ENTRY.test(file)) return true;
  return [layer, ...below].some((folder) => within(to, folder));
}

test.each(files)('%s imports only what lies below it', (file) => {
  expect(imports(file).filter((to) => !allowed(file, to))).toEqual([]);
});

test('the rules see what they should refuse', () => {
  expect(allowed('src/vision/a.ts', 'src/fit/b.ts')).toBe(false);
  expect(allowed('src/fit/a.ts', 'src/vision/b.ts')).toBe(false);
  expect(allowed('src/bias/a.ts', 'jstat')).toBe(false);
  expect(allowed('src/ui/App.svelte', 'comlink')).toBe(false);
  expect(allowed('workers/decode.ts', 'comlink')).toBe(false);
  expect(imports('src/ui/kit/worker-client.ts')).toContain('workers/protocol.ts');
  expect(relative(root, import.meta.dirname)).toBe('test');
});
