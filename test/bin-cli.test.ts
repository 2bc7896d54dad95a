import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { binTable } from '../src/cli/bin-table.ts';
import type { BinResult } from '../src/bin/types.ts';
import { BinScene } from './support/bin-scene.ts';
import { evencast, started, type Ran } from './support/commands.ts';
import { bytesOf, imageOf } from './support/photo-edits.ts';

let folder = '';

const bin = (...args: readonly string[]): Promise<Ran> => evencast('bin', ...args);

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'evencast-bin-'));
  const cube = { kind: 'd6', up: 4, size: 16, radius: 0.8 } as const;
  const { picture } = new BinScene()
    .die({ ...cube, x: -25, y: 8, yaw: 0.3 })
    .die({ ...cube, x: 4, y: -10, yaw: 0.9 })
    .die({ ...cube, x: 27, y: 5, yaw: 0.1, size: 15.2 });
  const image = imageOf({ ...picture, channels: 3, data: Buffer.from(picture.data) });
  await writeFile(join(folder, '01.jpg'), await bytesOf(image.jpeg({ quality: 92 })));
  await writeFile(join(folder, '02.jpg'), 'no picture');
  await writeFile(
    join(folder, 'reference.json'),
    JSON.stringify({ format: 'evencast-bin-reference/1', die: { kind: 'd6' }, size: 16, limits: { size: 0.3 } }),
  );
});

afterAll(() => rm(folder, { recursive: true }));

test('sorts a folder, prints the format, and a poor file costs only itself', async () => {
  const reference = ['--reference', join(folder, 'reference.json'), '--json'];
  const unchecked = JSON.parse((await bin(folder, '--die', 'd6', ...reference)).stdout) as BinResult;
  // A nominal size tells nothing fine on a print that nobody measured; its remark says so.
  expect(unchecked.photos[0]!.dice.map((d) => d.verdict)).not.toContain('keep');
  expect(unchecked.remarks!.map((r) => r.code)).toContain('scale-unchecked');
  const job = join(folder, 'job.json');
  await writeFile(job, JSON.stringify({ die: 'd6', checkBar: 100, checkBarY: 100 }));
  const { status, stdout, stderr } = started('bin', folder, ...reference);
  await rm(job);
  expect(status).toBe(0);
  const result = JSON.parse(stdout) as BinResult;
  expect(result.format).toBe('evencast-bin/1');
  expect(result.photos.map((p) => [p.photo, p.status])).toEqual([
    ['01.jpg', 'judged'],
    ['02.jpg', 'left-out'],
  ]);
  const dice = result.photos[0]!.dice;
  expect(dice.map((d) => d.verdict).sort()).toEqual(['keep', 'keep', 'reject']);
  for (const d of dice) {
    expect(d).toMatchObject({
      x: expect.any(Number) as number,
      y: expect.any(Number) as number,
      reason: expect.any(String) as string,
    });
    for (const name of ['size', 'radius', 'departure'] as const)
      expect(d[name]).toMatchObject({ value: expect.any(Number) as number, u: expect.any(Number) as number });
  }
  expect(stderr).toContain('2/2 02.jpg: left out');
  const table = binTable(result);
  expect(table).toMatch(/15\.\d{3} ± 0\.\d{3} .* REJECT .* size -0\.\d\d mm off the reference, limit 0\.30 mm/);
  expect(table).toContain('> 99 %');
  expect(table).toContain('02.jpg: left out - ');
  expect(table).not.toMatch(/100 %|-0\.00/);
});

test('usage and faults: exit codes, and one sentence that names the place', async () => {
  expect((await bin('--help')).status).toBe(0);
  expect((await bin()).status).toBe(2);
  expect((await bin(folder, '--die', 'd7')).status).toBe(2);
  const none = await bin(folder, '--json');
  expect(none.status).toBe(3);
  expect(JSON.parse(none.stdout)).toMatchObject({ format: 'evencast-bin/1', error: { code: 'job' } });
  const wrongKind = await bin(folder, '--die', 'd8', '--reference', join(folder, 'reference.json'));
  expect(wrongKind.status).toBe(3);
  expect(wrongKind.stderr).toContain('is of a d6, the bin holds d8');
});
