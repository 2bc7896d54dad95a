import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize, relative } from 'node:path';
import { expect, test } from 'vitest';

const LOW = ['src/units.ts', 'src/result.ts', 'src/maths', 'src/geometry'] as const;

/** Everything below page, command line and workers. */
const CORE = [
  ...LOW,
  'src/pool',
  'src/formats',
  'src/text',
  'src/photo',
  'src/vision',
  'src/fit',
  'src/faces',
  'src/measure',
  'src/bank-card',
  'src/bin',
  'src/live',
  'src/shots',
  'src/judging',
  'src/figures',
  'src/bias',
  'src/lots',
  'src/report',
] as const;
/** What every room of the page may import; the few doors from room to room stand with the rooms, by file. */
const ROOM = [...CORE, 'src/ui/kit', 'src/ui/store', 'src/ui/words.ts', 'workers', 'svelte', 'valibot'] as const;

/** What the files of a folder (or a file) may import: these and their own folder. The first that fits a path holds. */
const MAY_IMPORT: Readonly<Record<string, readonly string[]>> = {
  'src/units.ts': [],
  'src/result.ts': [],
  'src/pool': ['src/result.ts'],
  'src/maths': ['src/units.ts', 'src/result.ts', 'jstat'],
  'src/geometry': ['src/units.ts', 'src/result.ts', 'src/maths'],
  'src/vision': [...LOW, 'src/formats/assembled-module.ts'],
  'src/fit': [...LOW, 'src/formats/assembled-module.ts'],
  'src/formats': [...LOW, 'src/vision/picture.ts', 'valibot'],
  'src/text': [...LOW, 'src/formats'],
  'src/photo': [...LOW, 'src/vision', 'src/formats'],
  'src/judging': ['src/maths', 'src/formats'],
  'src/bias': [...LOW, 'src/formats', 'src/text'],
  'src/faces/reader': [
    ...LOW,
    'src/faces/face-memory.ts',
    'src/faces/face-picture.ts',
    'src/faces/face-frame.ts',
    'src/formats/base64.ts',
  ],
  'src/faces': [...LOW, 'src/vision', 'src/fit', 'src/formats'],
  'src/marks': [...LOW, 'src/vision', 'src/faces'],
  'src/measure': [
    ...LOW,
    'src/pool',
    'src/marks',
    'src/vision',
    'src/fit',
    'src/faces',
    'src/formats',
    'src/text',
    'src/photo',
  ],
  'src/bank-card': [...LOW, 'src/vision', 'src/photo', 'src/formats', 'src/text', 'src/measure'],
  'src/bin': [...LOW, 'src/vision', 'src/fit', 'src/photo', 'src/formats', 'src/text', 'src/measure'],
  'src/live': [...LOW, 'src/vision', 'src/measure', 'src/fit', 'src/faces'],
  'src/shots': [...LOW, 'src/fit', 'src/formats', 'src/measure'],
  'src/figures': [
    ...LOW,
    'src/vision/tone.ts',
    'src/fit',
    'src/faces',
    'src/formats',
    'src/judging',
    'src/text/language.ts',
  ],
  'src/lots': [...LOW, 'src/formats', 'src/text', 'valibot'],
  'src/report/forms/pdf.ts': ['src/report', 'src/units.ts', 'pdfkit'],
  'src/report/forms/pdf-canvas.ts': [
    'src/report',
    'src/formats/base64.ts',
    'src/figures',
    'src/text',
    'pdfkit',
    'fflate',
  ],
  'src/report/forms/letters.ts': ['src/report', 'fontkit'],
  'src/report/check/open-report.ts': ['src/report', 'src/formats', 'src/text', 'src/result.ts', 'fflate'],
  'src/report': [
    ...LOW,
    'src/formats',
    'src/text',
    'src/figures',
    'src/judging',
    'src/measure',
    'src/bias',
    'src/lots',
    'src/bank-card/size.ts',
  ],
  'src/ui/kit/worker-client.ts': ['src/result.ts', 'workers/protocol.ts', 'comlink'],
  'src/ui/kit/report-fonts.ts': ['src/report', 'dejavu-fonts-ttf'],
  'src/ui/kit': [...CORE, 'src/ui/words.ts', 'workers', 'svelte'],
  'src/ui/words.ts': ['src/ui'],
  'src/ui/store': [...CORE, 'src/ui/kit', 'workers', 'svelte', 'idb', 'exifr', 'valibot'],
  'src/ui/shape/solid-scene.ts': [...ROOM, 'src/ui/shape', 'three'],
  'src/ui/shell/rooms.ts': ['src/ui', 'svelte'],
  'src/ui/shell': [...ROOM, 'src/ui/report/report-handoff.ts'],
  'src/ui/start': [
    ...ROOM,
    'src/ui/rolls/answer-here.ts',
    'src/ui/compare/SmallDie.svelte',
    'src/ui/shell/arrivals.svelte.ts',
    'src/ui/shell/install.svelte.ts',
    'src/ui/shell/offline.svelte.ts',
  ],
  'src/ui/card': ROOM,
  'src/ui/photos': [...ROOM, 'src/ui/card/words.ts'],
  'src/ui/shape': [
    ...ROOM,
    'src/ui/rolls/answer-here.ts',
    'src/ui/rolls/rolls-room.svelte.ts',
    'src/ui/photos/NumbersOffer.svelte',
    'src/ui/photos/SeenPicture.svelte',
  ],
  'src/ui/rolls': ROOM,
  'src/ui/report': [...ROOM, 'src/ui/rolls/rolls-room.svelte.ts', 'src/ui/check/checks-of.ts'],
  'src/ui/compare': [...ROOM, 'src/ui/rolls/answer-here.ts'],
  'src/ui/lots': ROOM,
  'src/ui/bin': ROOM,
  'src/ui/check': ROOM,
  // The page as a whole; a new room gets a line of its own above.
  'src/ui/App.svelte': ['src/ui', 'svelte'],
  'src/ui/main.ts': ['src/ui', 'svelte'],
  'src/cli/peer-engine.ts': ['src', '@dimforge/rapier3d-compat'],
  'src/cli': ['src', 'config', 'node:', 'sharp', 'exifr', 'valibot'],
  workers: [...CORE, 'virtual:opencv', 'opencv-wasm'],
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

test('no file reaches itself by its imports', () => {
  const known = new Set(files);
  const done = new Set<string>();
  const circle = (file: string, way: readonly string[]): readonly string[] | null => {
    if (way.includes(file)) return [...way.slice(way.indexOf(file)), file];
    if (done.has(file)) return null;
    for (const to of imports(file).filter((path) => known.has(path))) {
      const found = circle(to, [...way, file]);
      if (found) return found;
    }
    done.add(file);
    return null;
  };
  for (const file of files) expect(circle(file, [])).toBeNull();
});

test('the rules see what they should refuse', () => {
  expect(allowed('src/vision/a.ts', 'src/fit/b.ts')).toBe(false);
  expect(allowed('src/fit/a.ts', 'src/vision/b.ts')).toBe(false);
  expect(allowed('src/bias/a.ts', 'jstat')).toBe(false);
  expect(allowed('src/ui/App.svelte', 'comlink')).toBe(false);
  expect(allowed('workers/decode.ts', 'comlink')).toBe(false);
  expect(allowed('workers/decode.ts', 'src/ui/kit/format.ts')).toBe(false);
  expect(allowed('src/bin/a.ts', 'src/bank-card/b.ts')).toBe(false);
  expect(allowed('src/ui/kit/a.ts', 'src/ui/store/b.ts')).toBe(false);
  expect(allowed('src/ui/store/a.ts', 'src/ui/photos/b.ts')).toBe(false);
  expect(allowed('src/ui/lots/a.ts', 'src/ui/report/b.ts')).toBe(false);
  expect(imports('src/ui/kit/worker-client.ts')).toContain('workers/protocol.ts');
  expect(relative(root, import.meta.dirname)).toBe('test');
});
