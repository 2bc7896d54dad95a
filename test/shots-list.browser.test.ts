import { afterEach, beforeEach, expect, test } from 'vitest';
import { Bench } from '../src/ui/store/bench.svelte.ts';
import { ShotList } from '../src/ui/photos/shot-list.svelte.ts';

let bench: Bench;
let list: ShotList;
beforeEach(() => {
  bench = new Bench();
  list = new ShotList(bench);
  list.effort = 'usual';
});
afterEach(() => list.close());

const files = (...names: string[]): File[] => names.map((name) => new File([], name));

test('before the first photo: a plan, and what it promises', async () => {
  await list.refresh();
  expect([list.current.length, list.reached!.reached, list.fault]).toEqual([4, null, null]);
  expect(list.lines.every(({ photo }) => photo === null)).toBe(true);
  list.effort = 'own';
  list.typed = '7';
  await list.refresh();
  expect(list.current.length).toBe(7);
  list.typed = '-3';
  expect([list.wrong, list.count]).toEqual([true, 4]);
});

test('photos count once their numbers are known, in any order; each brings the promise nearer', async () => {
  await list.refresh();
  const plan = list.current.map(({ shot }) => shot.up);
  bench.set.add(files('a.jpg', 'b.jpg'));
  await list.refresh();
  expect(list.taken).toEqual([]);
  // The second planned shot was taken first.
  const shots = list.current.map(({ shot }) => shot);
  [shots[1]!, shots[0]!].forEach(({ up, front }, i) => {
    bench.set.photos[i]!.say(up, front);
  });
  await list.refresh();
  const two = list.reached!.reached!;
  expect(list.lines.map(({ photo }) => photo?.name ?? null)).toEqual(['a.jpg', 'b.jpg', null, null]);
  expect(list.current.map(({ shot }) => shot.up)).toEqual(plan.slice(2));
  bench.set.add(files('c.jpg'));
  bench.set.photos[2]!.say(shots[2]!.up, shots[2]!.front);
  await list.refresh();
  expect(list.reached!.reached!.merit).toBeLessThan(two.merit);
});

test('a photo beside the plan makes another rest of it the best', async () => {
  await list.refresh();
  const planned = list.plan!.shots.map(({ shot }) => shot);
  bench.set.add(files('die-03-6.jpg'));
  const [photo] = bench.set.photos;
  // A front that no planned shot has with this number up.
  const front = ['2', '3', '4', '5'].find((f) => !planned.some((s) => s.up === '6' && s.front === f))!;
  photo!.say('6', front);
  await list.refresh();
  expect(list.current.length).toBe(3);
  expect(list.lines[0]!.photo).toBe(photo);
  expect(list.reached!.reached!.axes.length).toBe(3);
});

test('planning that is ended leaves what was planned before, tells no fault, and can be taken up again', async () => {
  await list.refresh();
  const before = list.current;
  bench.set.choose('d20');
  const planning = list.refresh();
  list.pause();
  await planning;
  expect([list.fault, list.upcoming]).toEqual([null, before]);
  await list.refresh();
  expect(list.current.length).toBeGreaterThan(before.length);
});

test('a photo left out does not count', async () => {
  bench.set.add(files('a.jpg', 'b.jpg'));
  for (const photo of bench.set.photos) photo.say('1', '2');
  bench.set.photos[0]!.included = false;
  await list.refresh();
  expect(list.taken.length).toBe(1);
  expect(list.current.length).toBe(3);
});

test('of another die nothing of the one before is shown', async () => {
  await list.refresh();
  bench.set.choose('d20');
  expect(list.lines).toEqual([]);
  await list.refresh();
  expect([list.current.length, list.solid.kind]).toEqual([10, 'd20']);
  for (const { shot } of list.current) expect(list.solid.labels).toContain(shot.front);
});
