import { describe, expect, it } from 'vitest';
import type { Work } from '../src/measure/photo-tasks.ts';
import { doneHere } from '../src/measure/photo-tasks.ts';
import { added, sampleJob, samplePhotos } from './support/measuring.ts';

/** Which kinds of tasks some work hands out until it is done or comes to another kind than `last`. */
function kindsOf<T>(work: Work<T>, last: string): string[] {
  const kinds: string[] = [];
  let step = work.next();
  while (!step.done) {
    const { tasks, done } = step.value;
    kinds.push(...tasks.map(({ kind }) => kind));
    if (tasks.some(({ kind }) => kind === last)) break;
    step = work.next(
      tasks.map((task, i) => {
        const result = doneHere(task);
        done(result, i);
        return result;
      }),
    );
  }
  return kinds;
}

const count = (kinds: readonly string[], kind: string): number => kinds.filter((k) => k === kind).length;

describe('faces that were looked at for their numbers', async () => {
  const job = sampleJob('d6');
  const photos = await samplePhotos('d6', job);
  const set = added(job, photos);
  const first = kindsOf(set.numbering(), 'none');

  it('are not looked at again when the set is measured', () => {
    expect(count(first, 'sight')).toBeGreaterThanOrEqual(photos.length);
    const measuring = kindsOf(
      set.finishing(() => undefined),
      'outline',
    );
    expect(count(measuring, 'outline')).toBe(photos.length);
    expect(count(measuring, 'sight')).toBe(0);
  });

  it('nor when it is only said how the die was finished', () => {
    set.ask({ ...job, finish: 'tumbled' });
    expect(count(kindsOf(set.numbering(), 'none'), 'sight')).toBe(0);
  });

  it('are looked at again when other numbers are given', () => {
    set.ask({ ...job, shots: job.shots.map((s) => ({ ...s, up: null, front: null })) });
    expect(count(kindsOf(set.numbering(), 'none'), 'sight')).toBeGreaterThanOrEqual(photos.length);
  });

  it('and when a photo was taken again', () => {
    set.addPhoto({ ...photos[0]!, focal: null });
    expect(count(kindsOf(set.numbering(), 'none'), 'sight')).toBeGreaterThanOrEqual(photos.length);
  });
});
