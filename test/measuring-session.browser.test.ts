import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { ToldProgress, VisionApi } from '../workers/protocol.ts';
import { parseJob } from '../src/formats/job.ts';
import type { Job } from '../src/formats/result.ts';
import { MeasuringSession } from '../src/ui/store/measuring-session.ts';
import known from '../samples/d6/known.json' with { type: 'json' };
import { compared, knownOf } from '../src/ui/store/known-sample.ts';
import { sampleJob, samplePhotos } from '../src/ui/store/samples.ts';
import { visionClient } from '../src/ui/store/vision-client.ts';
import type { WorkerClient } from '../src/ui/kit/worker-client.ts';

const parsed = parseJob(sampleJob('d6'));
if (!parsed.ok) throw new Error(parsed.error.code);
const whole = parsed.value;
/** The sample's first two photos: enough for a result, in half the time. */
const job: Job = { ...whole, shots: whole.shots.slice(0, 2) };
const photos = (await samplePhotos('d6')).map((file) => ({ name: file.name, file }));
const signal = new AbortController().signal;

let vision: WorkerClient<VisionApi>;
let session: MeasuringSession;
beforeEach(() => {
  vision = visionClient();
  session = new MeasuringSession(vision);
});
afterEach(() => vision.dispose());

const add = (of: Job, i: number, by = signal) => session.add(of, photos[i]!, by);

describe('a set measured in the worker', () => {
  test('photo by photo, to a result', async () => {
    for (const i of [0, 1]) {
      const added = await add(job, i);
      expect(added).toMatchObject({ ok: true, value: { judged: { photo: photos[i]!.name, status: 'used' } } });
      const { thumbnail } = added.ok ? added.value : { thumbnail: null };
      expect([thumbnail!.width, thumbnail!.height]).toEqual([320, 240]);
      expect(session.holds(photos[i]!.name)).toBe(true);
    }
    const early = await session.soFar(job, signal);
    if (!early.ok) throw new Error(early.error.code);
    expect(early.value).toMatchObject({ photos: 2, axes: [{ name: '1-6' }, { name: '2-5' }, { name: '3-4' }] });
    const told: ToldProgress[] = [];
    const finished = await session.finish(job, (progress) => told.push(progress), signal);
    if (!finished.ok || !finished.value.ok) throw new Error(JSON.stringify(finished));
    const result = finished.value.value;
    expect(result.axes.map(({ name }) => name)).toEqual(['1-6', '2-5', '3-4']);
    expect(result.photos.map(({ photo }) => photo)).toEqual(['01-1.jpg', '02-2.jpg']);
    expect(Object.keys(result.timing!)).toEqual(expect.arrayContaining(['decode', 'card', 'edges', 'fit']));
    // The same as what was told on the way.
    expect(told.flatMap(({ soFar }) => soFar ?? [])).toEqual([early.value]);
    const fractions = told.map(({ fraction }) => fraction);
    expect(fractions).toEqual([...fractions].sort((a, b) => a - b));
    expect(fractions.length).toBeGreaterThan(5);
  });

  test('asked otherwise keeps its photos; those that are not asked about any more are forgotten', async () => {
    await add(job, 0);
    const other: Job = { ...job, checkBar: 101 };
    await add(other, 1);
    const held = (): boolean[] => job.shots.map(({ photo }) => session.holds(photo));
    expect(held().slice(0, 2)).toEqual([true, true]);
    await session.finish({ ...other, shots: [other.shots[1]!] }, () => undefined, signal);
    expect(held().slice(0, 2)).toEqual([false, true]);
  });

  test('tells the numbers that its faces show, with pictures to look at', async () => {
    const bare = { ...job, die: null, shots: job.shots.map(({ photo }) => ({ photo, up: null, front: null })) };
    session.forget();
    for (const i of [0, 1]) await session.add(bare, photos[i]!, signal);
    const read = await session.numbers(bare, signal);
    if (!read.ok || !read.value.ok) throw new Error(JSON.stringify(read));
    const { kind, photos: seen } = read.value.value;
    expect(kind).toBe('d6');
    for (const [i, one] of seen.entries()) {
      expect(one.die.rgba).toHaveLength(4 * one.die.width * one.die.height);
      const top = one.faces.find(({ slot }) => slot === one.slots.up)!;
      expect(top.picture.rgba).toHaveLength(4 * top.picture.width * top.picture.height);
      for (const v of one.faces.flatMap(({ outline }) => [...outline])) expect(v).toBeGreaterThan(0);
      // Not known or right: never another number.
      expect([null, job.shots[i]!.up]).toContain(one.up);
    }
  });

  test('keeps its good photos when files are none', async () => {
    await add(job, 0);
    const text = { name: '02-2.jpg', file: new Blob(['no photo']) };
    const refused = await session.add(job, text, signal);
    expect(refused).toMatchObject({
      ok: true,
      value: { thumbnail: null, judged: { status: 'left-out', code: 'not-an-image', up: '2', front: '6' } },
    });
    const finished = await session.finish(job, () => undefined, signal);
    expect(finished).toMatchObject({
      ok: true,
      value: {
        ok: true,
        value: { photos: [{ code: null }, { photo: '02-2.jpg', status: 'left-out', code: 'not-an-image' }] },
      },
    });
  });

  test('without a usable photo fails with its reasons', async () => {
    await session.add(job, { name: '01-1.jpg', file: new Blob([]) }, signal);
    const blank = new OffscreenCanvas(800, 600);
    blank.getContext('2d')!.fillRect(0, 0, 800, 600);
    await session.add(job, { name: '02-2.jpg', file: await blank.convertToBlob() }, signal);
    expect(await session.finish(job, () => undefined, signal)).toMatchObject({
      ok: true,
      value: { ok: false, error: { code: 'no-photo', photos: [{ code: 'no-file' }, { code: 'no-card' }] } },
    });
  });
});

describe('the sample measured unasked', () => {
  test('comes to what is known of it, and leaves nothing', async () => {
    const measured = await session.unasked(whole, photos);
    if (!measured?.ok) throw new Error(JSON.stringify(measured));
    const found = compared(known, knownOf(measured.value), 0);
    expect(found.agrees).toBe(true);
    expect(found.apart).toBeLessThan(1e-6);
    expect(session.isOpen).toBe(false);
  });

  test('is given up for photos that come, which are measured as ever', async () => {
    const unasked = session.unasked(whole, photos);
    // Begun by then, and not yet at its end: what is asked of the worker now comes after it.
    await Promise.all(photos.map(({ file }) => file.arrayBuffer()));
    await vision.call((api) => api.protocol);
    session.begin();
    const added = await Promise.all([add(job, 0), add(job, 1)]);
    expect(added).toMatchObject([{ ok: true }, { ok: true }]);
    expect(await unasked).toBeNull();
    expect(await session.finish(job, () => undefined, signal)).toMatchObject({
      ok: true,
      value: { ok: true, value: { photos: [{ status: 'used' }, { status: 'used' }] } },
    });
  });

  test('does not begin where photos have come', async () => {
    await add(job, 0);
    expect(await session.unasked(whole, photos)).toBeNull();
    expect(session.holds(photos[0]!.name)).toBe(true);
  });
});

describe('a set that is cancelled', () => {
  test('ends at once, and is begun anew by the next call', async () => {
    await add(job, 0);
    const controller = new AbortController();
    const call = add(job, 1, controller.signal);
    setTimeout(() => controller.abort(), 30);
    expect(await call).toEqual({ ok: false, error: { code: 'cancelled' } });
    expect(session.holds(photos[0]!.name)).toBe(false);
    expect(await add(job, 0)).toMatchObject({ ok: true, value: { judged: { status: 'used' } } });
  });

  test('while it is being finished', async () => {
    await add(job, 0);
    const controller = new AbortController();
    expect(await session.finish(job, () => controller.abort(), controller.signal)).toEqual({
      ok: false,
      error: { code: 'cancelled' },
    });
  });
});

test('a file that cannot be read is judged like an empty one', async () => {
  const gone = (): Promise<never> => Promise.reject(new DOMException('gone', 'NotFoundError'));
  const lost = Object.assign(new Blob(), { arrayBuffer: gone });
  expect(await session.add(job, { name: '01-1.jpg', file: lost }, signal)).toMatchObject({
    ok: true,
    value: { judged: { status: 'left-out', code: 'no-file' } },
  });
});
