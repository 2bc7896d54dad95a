import { describe, expect, test } from 'vitest';
import type { Progress, SoFar } from '../src/formats/result.ts';
import { doneInPlace } from '../src/measure/photo-tasks.ts';
import { SO_FAR } from '../src/measure/so-far.ts';
import { added, sampleJob, samplePhotos } from './support/measuring.ts';
import truthOfD6 from './fixtures/samples-truth/d6.json' with { type: 'json' };

const job = sampleJob('d6');
const photos = await samplePhotos('d6', job);

/** What is known from the first so many photos. */
const soFar = (count: number): SoFar | null =>
  doneInPlace(added({ ...job, shots: job.shots.slice(0, count) }, photos.slice(0, count)).soFar());

describe('what is known of a die while its photos come', () => {
  const lengths: Readonly<Record<string, number>> = truthOfD6.axes_mm;
  const known = [2, 3, 4].map((count) => soFar(count)!);

  test('holds the true axes against each other within its doubt, and comes nearer with photos', () => {
    const mean = Object.values(lengths).reduce((s, v) => s + v, 0) / 3;
    const widest = known.map(({ photos: from, axes }, k) => {
      expect(from).toBe(k + 2);
      for (const { name, beyondMean } of axes)
        expect(Math.abs(beyondMean!.value - (lengths[name]! - mean)), name).toBeLessThan(2 * beyondMean!.u);
      return Math.max(...axes.map(({ beyondMean }) => beyondMean!.u));
    });
    expect(widest[2]).toBeLessThan(widest[0]!);
    for (const u of widest) expect(u).toBeGreaterThanOrEqual(SO_FAR.early);
  });

  test('doubts the mean by the card that nobody measured', () => {
    expect(known[2]!.mean.u).toBeGreaterThan(0.2);
    expect(Math.abs(known[2]!.mean.value - 16)).toBeLessThan(0.2);
  });

  test('is nothing of one photo', () => {
    expect(soFar(1)).toBeNull();
  });

  test('is told once while the set is measured, of all its photos', () => {
    const told: Progress[] = [];
    added(job, photos).finish((progress) => told.push(progress));
    expect(told.flatMap((progress) => progress.soFar?.() ?? [])).toEqual([known[2]]);
  });
});
