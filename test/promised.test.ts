/** Constants behind what is promised, each held by a closed form: none may drift unnoticed. */
import { describe, expect, test } from 'vitest';
import { trueShape } from '../src/bias/die/die-shape.ts';
import { kernelPrediction } from '../src/bias/meaning/prediction.ts';
import { withMassTowards } from '../src/bias/meaning/what-if.ts';
import { judgedDie } from '../src/bin/judge.ts';
import { dieSolid } from '../src/geometry/solid.ts';
import { misfitAt } from '../src/measure/judge.ts';
import { madeBinDie } from './support/made-bin-die.ts';
import { measured, sampleJob, samplePhotos } from './support/measuring.ts';
import type { MeasureResult } from '../src/formats/result.ts';

async function ofPhotos(count: number): Promise<MeasureResult> {
  const { shots } = sampleJob('d6');
  const job = sampleJob('d6', { shots: shots.slice(0, count), checkBar: 100, checkBarY: 100 });
  const outcome = measured(job, await samplePhotos('d6', job));
  if (!outcome.ok) throw new Error(outcome.error.code);
  return outcome.value;
}
const shareOf = ({ budget }: MeasureResult, source: string): number =>
  Math.hypot(...budget.filter((line) => line.source === source).map((line) => line.meanAxis));

describe('budget of a measured die', async () => {
  const result = await ofPhotos(3);

  test('check bars of 100 mm read to 0.05 mm each: their mean is known to 0.05 / 100 / sqrt 2', () => {
    const relative = shareOf(result, 'scale') / result.meanAxis.value;
    expect(relative / (0.05 / 100 / Math.SQRT2)).toBeCloseTo(1, 2);
  });

  test('all edges 0.05 px further out make an axis longer by a tenth of a pixel', () => {
    const mmPerPx = result.photos.reduce((sum, p) => sum + p.scale!, 0) / result.photos.length;
    expect(shareOf(result, 'edge') / (2 * 0.05 * mmPerPx)).toBeGreaterThan(0.9);
    expect(shareOf(result, 'edge') / (2 * 0.05 * mmPerPx)).toBeLessThan(1.1);
  });

  test('how the surface mirrors is said to be unknown where too few faces show it, and only there', async () => {
    const codes = (r: MeasureResult): string[] => r.notes.map(({ code }) => code);
    expect(codes(await ofPhotos(1))).toContain('sheen-unknown');
    expect(codes(result)).not.toContain('sheen-unknown');
  });
});

test('a photo with less than 60 % of its outline on the die is remarked on, with less than 50 % left out', () => {
  expect(misfitAt(0.61)).toBeNull();
  expect(misfitAt(0.59)).toMatchObject({ note: { code: 'misfit', as: 'of-length' }, leave: false });
  expect(misfitAt(0.51)).toMatchObject({ leave: false });
  expect(misfitAt(0.49)).toMatchObject({ leave: true });
});

describe('a die of a bin', () => {
  const d6 = dieSolid('d6');
  const reference = { size: { value: 15.9, u: 0.01 }, radius: null, source: 'typed' } as const;
  const judged = (departure: number) =>
    judgedDie(
      d6,
      madeBinDie(departure),
      reference,
      { size: 5, radius: 5, departure: 0.1 },
      { scale: 0, focal: 0, ratio: 0, distance: 250 },
      6,
    );

  // 95 % of a normal distribution lie below 1.645 standard deviations (NIST/SEMATECH e-Handbook, 1.3.6.7.1).
  test.each([
    [0.1 - 1.7 * 0.02, 'keep'],
    [0.1 - 1.6 * 0.02, 'look-again'],
    [0.1 + 1.6 * 0.02, 'look-again'],
    [0.1 + 1.7 * 0.02, 'reject'],
  ] as const)('that departs by %f mm of 0.1 allowed, u 0.02: %s', (departure, verdict) => {
    expect(judged(departure).verdict).toBe(verdict);
  });

  test('has a radius known no better than edges of 1.2 px allow, and a size than edges of 0.15 px on both sides', () => {
    const { radius, size } = judged(0.01);
    // The fit's own doubt counts twice: 0.02.
    expect(radius!.u).toBeCloseTo(Math.hypot(0.02, 1.2 * 0.1), 4);
    expect(size!.u).toBeCloseTo(Math.hypot(2 * 0.01, 0.5 * 0.01, 2 * 0.15 * 0.1), 4);
  });
});

test('what mass off the middle does is believed to 35 % of it', () => {
  const shape = trueShape('d6');
  const prediction = kernelPrediction(
    { shape: withMassTowards(shape, shape.labels.indexOf('6'), 0.3), covariance: null },
    'felt',
  );
  if (!prediction.ok) throw new Error(prediction.error.code);
  const { p, covariance } = prediction.value;
  const one = Math.abs(Math.log(6 * p[0]!));
  expect(Math.sqrt(covariance[0]!) / one).toBeCloseTo(0.35, 1);
});
