import { execFileSync, spawn, spawnSync } from 'node:child_process';
import { cpSync, linkSync, mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { JSON_BOUNDS, parseJson } from '../src/formats/json-text.ts';
import { evencast, START, started } from './support/commands.ts';

/** Inputs and outputs that fail: each ends in a coded message, none in a stack trace, a hang or a file that was written over. */

const root = join(import.meta.dirname, '..');
const folder = mkdtempSync(join(tmpdir(), 'evencast-faults-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** A folder with the job's text and one small photo's name. */
function withJob(name: string, text: string): string {
  const at = join(folder, name);
  mkdirSync(at);
  writeFileSync(join(at, 'job.json'), text);
  return at;
}
const NO_TRACE = /\n\s+at |node:internal|Error:/;

describe('what cannot be read', () => {
  const job = readFileSync(join(root, 'samples/d6/job.json'), 'utf8');

  test('a text nested thousands deep is told with its line', async () => {
    const deep = `{"die":"d6","shots":${'['.repeat(9000)}${']'.repeat(9000)}}`;
    const at = withJob('deep', deep);
    const file = join(at, 'job.json');
    for (const [run, ...args] of [
      [evencast, 'measure', at],
      [started, 'rolls', file],
      [evencast, 'report', file, '--for', 'buyer', '--format', 'json'],
      [evencast, 'lot', file],
    ] as const) {
      const { status, stderr } = await run(...args);
      expect(status, stderr).toBe(3);
      expect(stderr).toContain('nested more than 64 deep at line 1');
      expect(stderr).not.toMatch(NO_TRACE);
    }
  });

  test('a byte order mark is passed over', async () => {
    const at = join(folder, 'marked');
    cpSync(join(root, 'samples/d6'), at, { recursive: true });
    writeFileSync(join(at, 'job.json'), `\uFEFF${job}`);
    expect((await evencast('measure', at, '--json')).status).toBe(0);
  });

  test.skipIf(process.platform === 'win32')('a pipe in place of a job or a photo is refused at once', async () => {
    const piped = join(folder, 'piped');
    mkdirSync(piped);
    execFileSync('mkfifo', [join(piped, 'job.json')]);
    const asJob = await evencast('measure', piped);
    expect([asJob.status, asJob.stderr]).toEqual([3, expect.stringContaining('no regular file')]);
    const at = withJob('piped-photo', job);
    execFileSync('mkfifo', [join(at, '01-1.jpg')]);
    expect((await evencast('measure', at, '--json')).status).toBe(3);
  });

  test.runIf(process.platform === 'linux')(
    'names of pictures that are no UTF-8 are told and left out, the others are read',
    async () => {
      const at = Buffer.from(join(folder, 'latin'));
      mkdirSync(at);
      const photo = readFileSync(join(root, 'samples/d6/01-1.jpg'));
      writeFileSync(Buffer.concat([at, Buffer.from('/w\u00fcrfel.jpg', 'latin1')]), photo);
      writeFileSync(Buffer.concat([at, Buffer.from('/w\u00fcrfel-2.jpg', 'utf8')]), photo);
      for (const args of [
        ['measure', '--json'],
        ['bin', '--die', 'd6', '--json'],
      ]) {
        const { stdout, stderr } = await evencast(args[0]!, at.toString(), ...args.slice(1));
        expect(stderr).toContain('1 pictures are left out: their names are not UTF-8 text; rename them');
        const { photos } = JSON.parse(stdout) as { photos: { photo: string }[] };
        expect(photos.map((p) => p.photo)).toEqual(['w\u00fcrfel-2.jpg']);
        expect(stderr).not.toMatch(NO_TRACE);
      }
    },
  );

  test.runIf(process.platform === 'linux')(
    'an input without end is told when it is too long, and not waited for',
    () => {
      const command = ['yes 3 |', process.execPath, ...START, 'log', '-'].map((w) =>
        w.startsWith('yes') ? w : `"${w}"`,
      );
      const { status, stderr } = spawnSync(command.join(' '), {
        cwd: root,
        encoding: 'utf8',
        timeout: 200_000,
        shell: true,
      });
      expect([status, stderr]).toEqual([3, expect.stringContaining('stdin has more than 400000000 bytes')]);
    },
  );

  test('names with escapes and overrides of direction reach the terminal as signs', async () => {
    const at = withJob(
      'escapes',
      JSON.stringify({
        die: 'd6',
        shots: [
          { photo: 'a\u001b[2J\u202e.jpg', up: 1, front: 2 },
          { photo: 'b.jpg', up: 2, front: 1 },
        ],
      }),
    );
    const { stderr, stdout } = await evencast('measure', at, '--json');
    // eslint-disable-next-line no-control-regex
    expect(stderr + stdout).not.toMatch(/[\u001b\u202e]/);
    expect((JSON.parse(stdout) as { photos: { photo: string }[] }).photos[0]!.photo).toBe('a\u001b[2J\u202e.jpg');
  });
});

test('ten thousand files in one bin: each is told, in a list, within a heap of 150 MB', () => {
  const at = join(folder, 'ten-thousand');
  mkdirSync(at);
  const first = join(at, '00000.jpg');
  writeFileSync(first, readFileSync(join(root, 'samples/d6/01-1.jpg')).subarray(0, 20_000));
  for (let i = 1; i < 10_000; i++) linkSync(first, join(at, `${String(i).padStart(5, '0')}.jpg`));
  const { status, stdout } = spawnSync(
    process.execPath,
    [...START, 'bin', at, '--die', 'd6', '--csv', '--threads', '1'],
    {
      cwd: root,
      encoding: 'utf8',
      timeout: 200_000,
      maxBuffer: 1e8,
      env: { ...process.env, NODE_OPTIONS: '--max-old-space-size=150' },
    },
  );
  expect(status).toBe(3);
  const lines = stdout.trimEnd().split('\r\n');
  expect(lines).toHaveLength(10_001);
  expect(lines.slice(1).every((line) => line.includes('The picture file ends too early.'))).toBe(true);
});

describe('what cannot be written', () => {
  test.each([
    ['a folder that is not there', join('nowhere', 'card.pdf'), 'no such file or folder'],
    ['a folder in its place', '.', 'it is a folder'],
  ])('%s', async (_what, out, why) => {
    const { status, stderr } = await evencast('card', '--out', join(folder, out));
    expect(status).toBe(1);
    expect(stderr).toContain(why);
    expect(stderr).not.toMatch(NO_TRACE);
  });

  test.runIf(process.platform === 'linux')('a device that is full', async () => {
    const { status, stderr } = await evencast('card', '--out', '/dev/full');
    expect([status, stderr]).toEqual([1, expect.stringContaining('cannot be written')]);
  });

  test('a key is written once, for its owner alone', async () => {
    const out = join(folder, 'key.json');
    expect((await evencast('report', '--new-key', '--out', out)).status).toBe(0);
    const first = readFileSync(out, 'utf8');
    if (process.platform !== 'win32') expect(statSync(out).mode & 0o777).toBe(0o600);
    const again = await evencast('report', '--new-key', '--out', out);
    expect([again.status, again.stderr]).toEqual([1, expect.stringContaining('nothing is written over')]);
    expect(readFileSync(out, 'utf8')).toBe(first);
  });

  test('a folder for faces that cannot be made, and one in which nothing can be written', async () => {
    const file = join(folder, 'a-file');
    writeFileSync(file, '');
    const inside = await evencast('measure', 'samples/d6', '--numbers-only', '--faces', join(file, 'faces'));
    expect([inside.status, inside.stderr]).toEqual([1, expect.stringContaining('a part of its path is no folder')]);
    // A folder where a file should be: for the owner of a machine, permissions are no hindrance.
    const taken = join(folder, 'taken');
    mkdirSync(join(taken, 'net.png'), { recursive: true });
    const other = await evencast('measure', 'samples/d6', '--numbers-only', '--faces', taken);
    expect([other.status, other.stderr]).toEqual([1, expect.stringContaining('cannot be written: it is a folder')]);
    expect(inside.stderr + other.stderr).not.toMatch(NO_TRACE);
  });

  test('a reader that has read enough ends the command without a word', async () => {
    const child = spawn(process.execPath, [...START, 'card'], { cwd: root });
    let said = '';
    child.stderr.on('data', (data: Buffer) => (said += data.toString()));
    child.stdout.destroy();
    const code = await new Promise((ended) => child.on('close', ended));
    expect([code, said]).toEqual([0, '']);
  });
});

describe('JSON texts', () => {
  test.each([
    ['[1,\n2,\n}', { code: 'no-json', line: 3 }],
    ['', { code: 'no-json', line: 1 }],
    [`${'[\n'.repeat(70)}`, { code: 'deep', line: JSON_BOUNDS.depth + 1, needed: JSON_BOUNDS.depth }],
  ])('%j is told with its line', (text, fault) => {
    const read = parseJson(text);
    expect(read.ok ? null : read.error).toEqual(fault);
  });

  test('brackets within strings do not nest', () => {
    const text = JSON.stringify({ a: '['.repeat(200), 'b"\\{{': ['\\', '"'] });
    expect(parseJson(text)).toEqual({ ok: true, value: JSON.parse(text) as unknown });
  });

  test(`${JSON_BOUNDS.depth} levels are read, one more is not`, () => {
    const nested = (n: number): string => '['.repeat(n) + ']'.repeat(n);
    expect(parseJson(nested(JSON_BOUNDS.depth)).ok).toBe(true);
    expect(parseJson(nested(JSON_BOUNDS.depth + 1)).ok).toBe(false);
  });
});
