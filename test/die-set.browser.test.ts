import { flushSync, mount, unmount } from 'svelte';
import { describe, expect, test } from 'vitest';
import { leftOut } from '../src/measure/photo-result.ts';
import type { PhotoResult } from '../src/formats/result.ts';
import DieStrip from '../src/ui/photos/DieStrip.svelte';
import NumbersOffer from '../src/ui/photos/NumbersOffer.svelte';
import { Bench } from '../src/ui/store/bench.svelte.ts';
import { language } from '../src/ui/kit/language.svelte.ts';
import { History, type Desk } from '../src/ui/store/history.svelte.ts';
import { DieSet } from '../src/ui/store/die-set.svelte.ts';
import { readDie } from '../src/ui/store/upgrade.ts';
import { someDie } from './support/kept.ts';

const files = (...names: string[]): File[] => names.map((name) => new File(['x'], name));
const shots = (set: DieSet): string[] => set.included.map(({ name, up, front }) => `${name} ${up} ${front}`);

describe('photos given', () => {
  test('stand in the order of their names, numbers counted', () => {
    const set = new DieSet();
    set.add(files('photo 10.jpg', 'photo 2.jpg', 'photo 1.jpg'));
    expect(set.photos.map(({ name }) => name)).toEqual(['photo 1.jpg', 'photo 2.jpg', 'photo 10.jpg']);
  });

  test('get no number from their order or their names: what is not known stays empty', () => {
    const set = new DieSet();
    set.choose('d20');
    set.add(files('02-19.jpg', '01-20.jpg', 'a.jpg'));
    expect(shots(set)).toEqual(['01-20.jpg  ', '02-19.jpg  ', 'a.jpg  ']);
    expect(set.job.shots).toEqual([]);
    expect(set.asked.shots.map(({ up }) => up)).toEqual([null, null, null]);
    expect(set.unknown).toHaveLength(3);
  });

  test('whose number up was read and whose front is open are measured: they count as known, and are told apart', () => {
    const set = new DieSet();
    set.add(files('a.jpg', 'b.jpg'));
    const picture = { width: 1, height: 1, rgba: new Uint8ClampedArray(4) };
    const read = { from: 'read', chance: 1e-3, contradicted: null, slots: { up: 0, front: 1 }, die: picture } as const;
    set.photos[0]!.seen = { ...read, photo: 'a.jpg', up: '6', front: null, faces: [] };
    expect(shots(set)).toEqual(['a.jpg 6 ', 'b.jpg  ']);
    expect(set.unknown.map(({ name }) => name)).toEqual(['b.jpg']);
    expect(set.frontsOpen.map(({ name }) => name)).toEqual(['a.jpg']);
    expect(set.asked.shots.map(({ up }) => up)).toEqual([null, null]);
  });

  test('are not given a number by half: up chosen, the front is still asked, never guessed', () => {
    const set = new DieSet();
    set.add(files('a.jpg'));
    set.photos[0]!.say('6', '');
    expect(set.unknown).toHaveLength(1);
    expect(set.frontsOpen).toHaveLength(0);
    expect(set.asked.shots).toEqual([{ photo: 'a.jpg', up: null, front: null }]);
    expect(set.job.shots).toEqual([]);
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
    expect(shots(set)).toEqual(['b.jpg 6 5', 'a.jpg  ']);
    set.photos[0]!.included = false;
    expect(shots(set)).toEqual(['a.jpg  ']);
    set.photos[0]!.included = true;
    expect(shots(set)).toEqual(['b.jpg 6 5', 'a.jpg  ']);
  });

  test('lose what was said with another kind of die', () => {
    const set = new DieSet();
    set.add(files('a.jpg', 'b.jpg'));
    set.photos[0]!.say('6', '5');
    set.choose('d4');
    expect(shots(set)).toEqual(['a.jpg  ', 'b.jpg  ']);
  });
});

describe('numbers that the fit speaks for', () => {
  const doubtful = (up: string, front: string): PhotoResult => ({
    ...leftOut('', '', '', [{ code: 'up-doubtful', as: 'up-front', seen: `${up}/${front}`, needed: '1/2' }]),
    status: 'used-with-remark',
  });

  test.each([
    [[0], 'Take them and measure again'],
    [[0, 2], 'Take all 2 and measure again'],
    [[0, 1, 2], null],
  ])('are offered at one click where they are fewer than half: photos %j of five', async (doubted, button) => {
    language.choose('en');
    const bench = new Bench();
    bench.set.add(files('a.jpg', 'b.jpg', 'c.jpg', 'd.jpg', 'e.jpg'));
    bench.set.photos.forEach((photo, i) => {
      photo.judged = doubted.includes(i) ? doubtful('5', '1') : { ...doubtful('', ''), notes: [] };
    });
    const shown = mount(NumbersOffer, { target: document.body, props: { bench } });
    flushSync();
    expect(document.querySelector('button')?.textContent?.trim() ?? null).toBe(button);
    expect(document.body.textContent).toContain(button === null ? 'do not go together' : 'The shape speaks for');
    await unmount(shown);
  });

  test('that the fit speaks against are all taken at once, in one step that can be undone', async () => {
    const bench = new Bench();
    const { set } = bench;
    set.add(files('a.jpg', 'b.jpg', 'c.jpg'));
    set.photos[0]!.judged = doubtful('2', '6');
    // 4 is opposite to 3: no face in front, and not believed.
    set.photos[1]!.judged = doubtful('3', '4');
    set.photos[2]!.judged = doubtful('5', '1');
    expect(set.suggestions.map(({ photo, up, front }) => `${photo.name} ${up} ${front}`)).toEqual([
      'a.jpg 2 6',
      'c.jpg 5 1',
    ]);
    const history = new History();
    const desk = (): Desk => ({ set, entries: set.entries, cards: [] });
    history.see(desk(), 0);
    const measuring = bench.takeSuggestions();
    history.see(desk(), 1);
    expect(shots(set)).toEqual(['a.jpg 2 6', 'b.jpg  ', 'c.jpg 5 1']);
    expect(set.suggestions).toEqual([]);
    expect(bench.wanted).toBe(true);
    bench.cancel();
    await measuring;
    expect(history.undo()?.entries.shots.map(({ up }) => up)).toEqual(['', '', '']);
    expect(history.undo()).toBeNull();
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
  const expected = ['z.jpg 20 2', 'a.jpg 19 9', 'more.jpg  '];

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
      expect(set.jobFault?.code).toMatch(/^job-/);
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

describe('the finish of the faces', () => {
  test('goes into the job, makes a result out of date and is a step to undo; numbers are not read anew for it', () => {
    const set = new DieSet();
    set.add(files('a.jpg'));
    set.take(null, null);
    set.outcome = { job: set.job, stopped: { code: 'cancelled' } };
    const history = new History();
    const desk = (): Desk => ({ set, entries: set.entries, cards: [] });
    history.restart(desk());
    expect([set.stale, set.unread, 'finish' in set.job]).toEqual([false, false, false]);

    set.finish = 'tumbled';
    history.see(desk(), 0);
    set.handTest = 'spins';
    history.see(desk(), 1);
    expect(set.job).toMatchObject({ finish: 'tumbled', handTest: 'spins' });
    expect(set.asked).toMatchObject({ finish: 'tumbled', handTest: 'spins' });
    expect([set.stale, set.unread]).toEqual([true, false]);
    expect(history.undoable).toBe('finish');
    const before = history.undo()!.entries;
    expect([before.finish, before.handTest]).toEqual(['tumbled', null]);
    set.restore(history.undo()!.entries, (id) => set.photos.find((photo) => photo.id === id), null);
    expect([set.finish, set.handTest, set.stale]).toEqual([null, null, false]);
  });

  test('is taken from a job file', () => {
    const set = new DieSet();
    const shots = [{ photo: 'a.jpg', up: 1, front: 2 }];
    set.readJob({ die: 'd6', shots, finish: 'polished', handTest: 'still' });
    expect([set.finish, set.handTest]).toEqual(['polished', 'still']);
    set.readJob({ die: 'd6', shots });
    expect([set.finish, set.handTest]).toEqual([null, null]);
  });

  test('is not known of a die that was kept before it was asked', () => {
    const old = Object.fromEntries(
      Object.entries(someDie(1)).filter(([key]) => key !== 'finish' && key !== 'handTest'),
    );
    expect(readDie(old)).toMatchObject({ ok: true, value: { finish: null, handTest: null } });
    expect(readDie({ ...old, finish: 'waxed' }).ok).toBe(false);
  });

  test('is chosen beside the kind of die', async () => {
    language.choose('en');
    const bench = new Bench();
    const shown = mount(DieStrip, { target: document.body, props: { bench } });
    flushSync();
    const select = (id: string): HTMLSelectElement => document.querySelector(`select#${id}`)!;
    const choose = (id: string, value: string): void => {
      select(id).value = value;
      select(id).dispatchEvent(new Event('change', { bubbles: true }));
    };
    expect([select('finish').value, select('hand-test').value]).toEqual(['unknown', 'untried']);
    choose('finish', 'tumbled');
    choose('hand-test', 'still');
    expect([bench.set.finish, bench.set.handTest]).toEqual(['tumbled', 'still']);
    choose('finish', 'unknown');
    choose('hand-test', 'untried');
    expect([bench.set.finish, bench.set.handTest]).toEqual([null, null]);
    await unmount(shown);
  });
});
