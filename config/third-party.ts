/** Writes THIRD-PARTY.md: `npx tsx config/third-party.ts`. Run it after a change of dependencies; a test compares. */
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

const root = join(import.meta.dirname, '..');
const file = join(root, 'THIRD-PARTY.md');

/** Dependencies whose code becomes part of the built page. The others run beside it, unchanged, from their own packages. */
export const BUILT_IN = [
  'comlink',
  'exifr',
  'idb',
  'jstat',
  'opencv-wasm',
  'svelte',
  'three',
  'valibot',
  'dejavu-fonts-ttf',
  // pdfkit and what it is made of.
  'pdfkit',
  '@noble/ciphers',
  '@noble/hashes',
  '@swc/helpers',
  'base64-js',
  'brotli',
  'clone',
  'dfa',
  'fast-deep-equal',
  'fflate',
  'fontkit',
  'linebreak',
  'pako',
  'png-js',
  'restructure',
  'tiny-inflate',
  'unicode-properties',
  'unicode-trie',
] as const;

interface Manifest {
  readonly version: string;
  readonly license?: string;
  readonly author?: string | { readonly name: string };
  readonly dependencies: Record<string, string>;
  readonly devDependencies: Record<string, string>;
}

const manifest = (folder: string): Manifest =>
  JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8')) as Manifest;

function licenceText(name: string): string {
  const folder = join(root, 'node_modules', name);
  const found = readdirSync(folder).find((entry) => /^licen[cs]e/i.test(entry));
  if (found === undefined) return mitText(name);
  return readFileSync(join(folder, found), 'utf8').replaceAll('\r\n', '\n').trim();
}

/** For the few packages that declare the MIT licence without its text. */
function mitText(name: string): string {
  const { license, author } = manifest(join(root, 'node_modules', name));
  const holder = typeof author === 'string' ? author : author?.name;
  if (license !== 'MIT' || holder === undefined) throw new Error(`${name} brings no licence text`);
  const own = readFileSync(join(root, 'LICENSE'), 'utf8');
  return `The MIT License\n\nCopyright (c) ${holder}\n\n${own.slice(own.indexOf('Permission is')).trim()}`;
}

function section(name: string): string {
  const { version, license } = manifest(join(root, 'node_modules', name));
  // The manifests of jstat and png-js name no licence; their licence files are the MIT text.
  const heading = `## ${name} ${version} (${license ?? 'MIT'})`;
  const text = [`\`\`\`\n${licenceText(name)}\n\`\`\``];
  if (name === 'opencv-wasm') {
    const opencv = readFileSync(join(root, 'config/opencv-licence.txt'), 'utf8').trim();
    text.push('Contains OpenCV 4.3.0, and with it FLANN (BSD), Protocol Buffers (BSD-3-Clause) and zlib (Zlib):');
    text.push(`\`\`\`\n${opencv}\n\`\`\``);
  }
  return [heading, ...text].join('\n\n');
}

function beside(): string {
  const { dependencies, devDependencies } = manifest(root);
  const names = Object.keys({ ...dependencies, ...devDependencies }).filter(
    (name) => !BUILT_IN.some((each) => each === name),
  );
  const lock = JSON.parse(readFileSync(join(root, 'package-lock.json'), 'utf8')) as {
    packages: Record<string, Manifest>;
  };
  return names
    .sort()
    .map((name) => {
      const { version, license } = lock.packages[`node_modules/${name}`]!;
      return `- ${name} ${version} (${license ?? 'see its package'})`;
    })
    .join('\n');
}

/** The text that THIRD-PARTY.md should have, from the packages installed. */
export function thirdPartyNotices(): string {
  return (
    [
      '# Third-party notices',
      'Evencast itself is under the MIT licence (LICENSE). The built page contains parts of the packages below, under their own licences.',
      ...BUILT_IN.map(section),
      '# Used beside it, not contained in it',
      'From their own packages, unchanged. sharp loads libvips (LGPL-3.0-or-later) as a shared library of its own.',
      beside(),
      '',
    ]
      .join('\n\n')
      .trimEnd() + '\n'
  );
}

if (process.argv[1] === import.meta.filename) writeFileSync(file, thirdPartyNotices());
