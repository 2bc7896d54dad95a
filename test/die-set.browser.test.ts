import { describe, expect, test } from 'vitest';
import { DieSet } from '../src/ui/state/die-set.svelte.ts';

const files = (...names: string[]): File[] => names.map((name) => new File(['x'], name));
const shots = (set: DieSet): string[] => set.job.shots.map(({ photo, up, front }) => `${photo} ${up} ${front}`);

describe('photos given', () => {
  test('stand in the order of their names, numbers counted', () => {
    const set = new DieSet();
    set.add(files('photo 10.jpg', 'photo 2.jpg', 'photo 1.jpg'));
    expect(set.photos.map(({ name }) => name)).toEqual(['photo 1.jpg', 'photo 2.jpg', 'photo 10.jpg']);
  });

  test('follow the shot list where their names say nothing', () => {
    const set = new DieSet();
    set.add(files('b.jpg', 'a.jpg', 'c.jpg'));
    expect(shots(set)).toEqual(['a.jpg 1 2', 'b.jpg 2 3', 'c.jpg 3 1']);
  });

  test('take the number up from their names', () => {
    const set = new DieSet();
    set.choose('d20');
    set.add(files('02-19.jpg', '01-20.jpg'));
    expect(set.job.shots.map(({ up }) => up)).toEqual(['20', '19']);
  });

  test('get names of their own where two are alike', () => {
    const set = new DieSet();
    set.add(files('a.jpg', 'a.jpg'));
    set.add(files('a.jpg'));
    expect(set.photos.map(({ name }) => name)).toEqual(['a.jpg', 'a.jpg (2)', 'a.jpg (3)']);
  });

  test('keep what the person said when others come, and can be left out and put back', () => {
    const set = new DieSet();
    set.add(files('b.jpg'));
    set.photos[0]!.say('6', '5');
    set.add(files('a.jpg'));
    expect(shots(set)).toEqual(['b.jpg 6 5', 'a.jpg 2 3']);
    set.photos[0]!.included = false;
    expect(shots(set)).toEqual(['a.jpg 2 3']);
    set.photos[0]!.included = true;
    expect(shots(set)).toEqual(['b.jpg 6 5', 'a.jpg 2 3']);
  });

  test('get other numbers for another kind of die', () => {
    const set = new DieSet();
    set.add(files('a.jpg', 'b.jpg'));
    set.photos[0]!.say('6', '5');
    set.choose('d4');
    expect(shots(set)).toEqual(['a.jpg 1 2', 'b.jpg 2 3']);
  });
});

describe('a job file', () => {
  const job = {
    die: 'd20',
    shots: [
      { photo: 'z.jpg', up: 20, front: 2 },
      { photo: 'a.jpg', up: 19, front: 9 },
      { photo: 'missing.jpg', up: 18, front: 5 },
    ],
    checkBar: 100.4,
  };
  const expected = ['z.jpg 20 2', 'a.jpg 19 9', 'more.jpg 18 4'];

  test('gives die, order, numbers and bars, whether it comes first or last', () => {
    const [last, first] = [new DieSet(), new DieSet()];
    last.add(files('more.jpg', 'a.jpg', 'z.jpg'));
    last.readJob(job);
    first.readJob(job);
    first.add(files('more.jpg', 'a.jpg', 'z.jpg'));
    for (const set of [last, first]) {
      expect(set.kind).toBe('d20');
      expect(shots(set)).toEqual(expected);
      expect(set.job).toMatchObject({ checkBar: 100.4, checkBarY: null });
      expect(set.missing).toBe(1);
      expect(set.jobFault).toBeNull();
    }
  });

  test('that is none changes nothing, and is told', () => {
    const set = new DieSet();
    set.add(files('a.jpg'));
    const before = shots(set);
    for (const wrong of [
      'not json',
      { die: 'd7', shots: [] },
      { die: 'd6', shots: [{ photo: 'a.jpg', up: 7, front: 1 }] },
    ]) {
      set.readJob(wrong);
      expect(set.jobFault).toMatch(/job\.json/);
      expect(set.kind).toBe('d6');
      expect(shots(set)).toEqual(before);
    }
    set.readJob(job);
    expect(set.jobFault).toBeNull();
  });
});

test('check bars hold in either decimal mark; what cannot be one is marked and not used', () => {
  const set = new DieSet();
  expect(set.bars.lengths).toEqual([
    { length: null, wrong: false },
    { length: null, wrong: false },
  ]);
  set.ownBars.x = '100,4';
  set.ownBars.y = '10';
  expect(set.job).toMatchObject({ checkBar: 100.4, checkBarY: null });
  expect(set.bars.lengths[1]).toEqual({ length: null, wrong: true });
});

test('an outcome is out of date as soon as the job is another', () => {
  const set = new DieSet();
  set.add(files('a.jpg'));
  set.outcome = { job: set.job, stopped: { code: 'cancelled' } };
  expect(set.stale).toBe(false);
  set.ownBars.x = '101';
  expect(set.stale).toBe(true);
  set.ownBars.x = '';
  expect(set.stale).toBe(false);
});
