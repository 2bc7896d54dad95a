import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { delimiter, join } from 'node:path';

/** The same browser without windows: of a page's processor time it takes a little more than half, since no window with its bars and menus is made for each. */
const SHELL = 'chromium-headless-shell';
const NAMES = [
  SHELL,
  'chromium',
  'chromium-browser',
  'google-chrome-stable',
  'google-chrome',
  'chrome',
  'microsoft-edge',
];

const ELSEWHERE = [
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe',
  'C:\\Program Files (x86)\\Google\\Chrome\\Application\\chrome.exe',
  'C:\\Program Files (x86)\\Microsoft\\Edge\\Application\\msedge.exe',
];

/** Flags for a browser that only tests: no sandbox (containers have none to give), and no calls home. */
export const CHROMIUM_FLAGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

export const HOW_TO_GET_CHROMIUM =
  'No Chromium found: install one (Debian, Ubuntu: apt-get install chromium) or set CHROMIUM_PATH to its executable.';

/** Path of a Chromium of this machine: $CHROMIUM_PATH, then the path, then the usual places. */
export function findChromium(): string | undefined {
  const given = process.env['CHROMIUM_PATH'];
  if (given !== undefined && given !== '') return existsSync(given) ? given : undefined;
  const folders = (process.env['PATH'] ?? '').split(delimiter).concat('/usr/bin', '/snap/bin');
  const candidates = NAMES.flatMap((name) => folders.map((folder) => join(folder, name))).concat(ELSEWHERE);
  return candidates.find((path) => existsSync(path));
}

/** Installs Debian's Chromium where that is nobody's machine: in CI, as root. Elsewhere the choice is the user's. A browser that is there serves where none can be installed. */
export function installChromiumInCi(): void {
  const mayInstall = Boolean(process.env['CI']) && process.getuid?.() === 0 && existsSync('/usr/bin/apt-get');
  if (!mayInstall || process.env['CHROMIUM_PATH'] || findChromium()?.endsWith(SHELL) === true) return;
  const aptGet = (...args: string[]): Buffer =>
    execFileSync('apt-get', args, {
      stdio: ['ignore', 'ignore', 'inherit'],
      env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
    });
  const install = (name: string): Buffer => aptGet('install', '-y', '-q', '--no-install-recommends', name);
  try {
    aptGet('update', '-q');
    install(SHELL);
  } catch (thrown) {
    if (findChromium() !== undefined) return;
    process.stderr.write(`${String(thrown)}\n`);
    install('chromium');
  }
}
