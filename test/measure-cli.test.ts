import { cpSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { measureFolder, readJob } from '../src/cli/measure.ts';
import type { MeasureResult } from '../src/formats/result.ts';
import { evencast, started, type Ran } from './support/commands.ts';

const root = join(import.meta.dirname, '..');
const scratch = mkdtempSync(join(tmpdir(), 'evencast-measure-'));
afterAll(() => rmSync(scratch, { recursive: true }));

const measure = (...args: string[]): Promise<Ran> => evencast('measure', ...args);

/** A folder with a job file, given as text, and photos of the d6 sample. */
function folder(name: string, job: string | null, photos: readonly string[] = []): string {
  const path = join(scratch, name);
  mkdirSync(path);
  if (job !== null) writeFileSync(join(path, 'job.json'), job);
  for (const photo of photos) cpSync(join(root, 'samples/d6', photo), join(path, photo));
  return path;
}

const shots = [
  { photo: '02-2.jpg', up: 2, front: 6 },
  { photo: '03-3.jpg', up: 3, front: 6 },
];
const good = folder('good', JSON.stringify({ die: 'd6', shots, checkBar: 100 }), ['02-2.jpg', '03-3.jpg']);

describe('a set that can be measured', () => {
  test('--json: the result alone on stdout, the stages on stderr, exit code 0', () => {
    const { status, stdout, stderr } = started('measure', good, '--json');
    expect(status).toBe(0);
    const result = JSON.parse(stdout) as MeasureResult;
    expect(result.format).toBe('evencast-result/1');
    expect(result.axes.map((a) => a.name)).toEqual(['1-6', '2-5', '3-4']);
    expect(result.photos.map((p) => [p.photo, p.status])).toEqual([
      ['02-2.jpg', 'used'],
      ['03-3.jpg', 'used'],
    ]);
    for (const seconds of Object.values(result.timing!)) expect(seconds).toBeGreaterThanOrEqual(0);
    expect(Object.keys(result.timing!)).toEqual(expect.arrayContaining(['decode', 'card', 'edges', 'fit']));
    expect(stderr).toContain('1/2 02-2.jpg: used');
    expect(stderr).toMatch(/edges \d+ %/);
  });

  test('without it: a table with the same numbers', async () => {
    const { status, stdout, stderr } = await measure(good);
    expect(status).toBe(0);
    for (const words of ['d6, 2 of 2 photos used', '1-6', '2-5', '3-4', 'mean axis', 'mean corner radius', '± '])
      expect(stdout).toContain(words);
    expect(stdout).not.toMatch(/NaN|undefined|edges \d+ %/);
    expect(stderr).toContain('2/2 03-3.jpg: used');
  });

  test('with files that are none: they are left out with their reason', async () => {
    const more = [...shots, { photo: 'text.jpg', up: 1, front: 2 }, { photo: 'lost.jpg', up: 6, front: 2 }];
    const path = folder('poor', JSON.stringify({ die: 'd6', shots: more }), ['02-2.jpg', '03-3.jpg']);
    writeFileSync(join(path, 'text.jpg'), 'no photo');
    const told: string[] = [];
    const outcome = await measureFolder(path, (line) => told.push(line));
    expect(outcome.ok && outcome.value.photos.map((p) => p.code)).toEqual([null, null, 'not-an-image', 'no-file']);
    expect(told).toContainEqual(expect.stringMatching(/^3\/4 text\.jpg: left-out - .+/));
  });
});

describe('a set that cannot be measured: exit code 3', () => {
  test('no usable photo: the reason of each, in the JSON and in words', async () => {
    const path = folder('none', JSON.stringify({ die: 'd6', shots }));
    writeFileSync(join(path, '02-2.jpg'), 'no photo');
    const { status, stdout, stderr } = await measure(path, '--json');
    expect(status).toBe(3);
    expect(JSON.parse(stdout)).toMatchObject({
      format: 'evencast-result/1',
      error: { code: 'no-photo', seen: 0, needed: 1, message: expect.stringMatching(/0 photos/) as string },
      photos: [
        { photo: '02-2.jpg', status: 'left-out', code: 'not-an-image' },
        { photo: '03-3.jpg', status: 'left-out', code: 'no-file' },
      ],
    });
    expect(stderr).toContain('03-3.jpg');
  });

  test('no job: said on stderr, nothing on stdout', async () => {
    const { status, stdout, stderr } = await measure(folder('without', null));
    expect(status).toBe(3);
    expect(stdout).toBe('');
    expect(stderr).toMatch(/job\.json cannot be read/);
  });

  test('a job that is no JSON, with --json: an error object', async () => {
    const { status, stdout } = await measure(folder('broken', '{ "die": '), '--json');
    expect(status).toBe(3);
    expect(JSON.parse(stdout)).toMatchObject({
      error: { code: 'job', message: expect.stringMatching(/no JSON/) as string },
    });
  });

  test.each([
    ['a folder that is not there', join(scratch, 'nowhere'), /cannot be read/],
    ['a job of no known die', folder('d7', '{ "die": "d7", "shots": [] }'), /"d7".*d4, d6/],
    [
      'a photo outside the folder',
      folder('stray', JSON.stringify({ die: 'd6', shots: [{ photo: '../good/02-2.jpg', up: 2, front: 6 }] })),
      /outside the folder/,
    ],
    [
      'a photo at another root',
      folder('root', JSON.stringify({ die: 'd6', shots: [{ photo: '/etc/hostname', up: 2, front: 6 }] })),
      /outside the folder/,
    ],
  ])('%s', async (_what, path, message) => {
    expect(await readJob(path)).toMatchObject({
      ok: false,
      error: { code: 'job', message: expect.stringMatching(message) as string },
    });
  });
});

test.each([[[]], [[good, good]], [['--fast', good]]])(
  'arguments %j: usage on stderr, nothing on stdout, exit code 2',
  async (args) => {
    const { status, stdout, stderr } = await measure(...args);
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toContain('usage: ');
  },
);
