import { mount, unmount } from 'svelte';
import * as v from 'valibot';
import { expect, test } from 'vitest';
import { page } from 'vitest/browser';
import type { BinDie, BinPhoto } from '../src/bin/types.ts';
import '../src/ui/app.css';
import { BinCamera } from '../src/ui/bin/bin-camera.svelte.ts';
import BinTable from '../src/ui/bin/BinTable.svelte';
import { reasonIn } from '../src/ui/bin/bin-words.ts';
import { BinRoom } from '../src/ui/bin/bin-room.svelte.ts';
import type { RoomShelf } from '../src/ui/store/kept-rooms.ts';
import { KEPT_BIN, MOST_PHOTOS, type KeptBin } from '../src/formats/kept.ts';

const die = (x: number, changes: Partial<BinDie> = {}): BinDie => ({
  x,
  y: 0,
  size: { value: 16, u: 0.02 },
  radius: { value: 0.5, u: 0.05 },
  departure: { value: 0.01, u: 0.005 },
  verdict: 'keep',
  sure: 0.99,
  reason: '',
  reasons: [{ code: 'within' }],
  rounding: 'alike',
  seen: 1,
  outline: [0, 0, 10, 0, 10, 10],
  ...changes,
});
const photo = (name: string, dice: readonly BinDie[]): BinPhoto => ({
  photo: name,
  status: 'judged',
  code: null,
  remark: null,
  notes: [],
  width: 100,
  height: 100,
  dice,
});

function roomOf(...photos: readonly BinPhoto[]): BinRoom {
  const room = new BinRoom();
  room.entries = photos.map((judged) => ({ name: judged.photo, file: new File([], judged.photo), url: '', judged }));
  return room;
}

test('a verdict overrules, takes the next die in hand over the photo’s end, counts, and can be undone', () => {
  const room = roomOf(photo('1', [die(0), die(20)]), photo('2', [die(0, { verdict: 'reject' })]));
  expect(room.tally).toEqual({ keep: 2, 'look-again': 0, reject: 1 });
  room.overrule('reject');
  expect([room.selected, room.die]).toEqual([0, 1]);
  room.overrule('look-again');
  expect([room.selected, room.die]).toEqual([1, 0]);
  expect(room.tally).toEqual({ keep: 0, 'look-again': 1, reject: 2 });
  expect(room.isOverruled('1', 1)).toBe(true);
  room.undo();
  expect([room.selected, room.die]).toEqual([0, 1]);
  room.undo();
  expect(room.tally).toEqual({ keep: 2, 'look-again': 0, reject: 1 });
  expect(room.undoable).toBe(false);
});

test('limits are suggested from the person’s verdicts and hold only when taken', () => {
  const radii = [0.5, 0.52, 0.48, 0.51, 1.2, 1.3, 1.25, 1.4];
  const room = roomOf(
    photo(
      '1',
      radii.map((value, i) => die(10 * i, { radius: { value, u: 0.05 } })),
    ),
  );
  expect(room.suggestion).toMatchObject({ code: 'too-few' });
  for (const value of radii) room.overrule(value < 1 ? 'keep' : 'reject');
  const found = room.suggestion;
  if ('code' in found) throw new Error(found.code);
  expect(found.leaveOneOut).toEqual({ rejectsKept: 0, rejects: 4, keepersRejected: 0, keepers: 4 });
  expect(room.limits).toEqual({});
  room.entries = [];
  room.takeLimits(found);
  expect(room.limits.radius).toBeCloseTo(0.86, 2);
  room.clear();
});

test('photos beyond what the page holds are counted, not dropped without a word', async () => {
  const room = new BinRoom();
  room.entries = Array.from({ length: MOST_PHOTOS }, (_, i) => ({
    name: `${i}`,
    file: null,
    url: '',
    judged: photo(`${i}`, []),
  }));
  await room.take([new File(['a'], 'a.jpg'), new File(['b'], 'b.jpg')]);
  expect([room.entries.length, room.passedOver]).toEqual([MOST_PHOTOS, 2]);
});

test.each([
  ['two photos of one name', { photos: [photo('1', []), photo('1', [])] }],
  ['a verdict on what is no die', { steps: [{ key: 'x', verdict: 'keep' }] }],
  ['a verdict whose place is no place', { steps: [{ key: '["1","2"]', verdict: 'keep' }] }],
])('what is kept with %s is none', (_what, more) => {
  const none = { size: '', radius: '', departure: '' };
  const good = {
    kind: 'd6',
    size: '',
    radius: '',
    limits: none,
    sounds: false,
    photos: [photo('1', [])],
    steps: [{ key: JSON.stringify(['a"\\\n', 0]), verdict: 'keep' }],
  };
  expect(v.safeParse(KEPT_BIN, good).success).toBe(true);
  expect(v.safeParse(KEPT_BIN, { ...good, ...more }).success).toBe(false);
});

test('verdicts, the person’s own and their undo come back when the page is opened anew; pictures do not', async () => {
  let kept: unknown = null;
  const shelf: RoomShelf<KeptBin> = {
    all: () => {
      const read = v.safeParse(KEPT_BIN, kept);
      return Promise.resolve(read.success ? [{ id: '0123456789', changed: 1, data: read.output }] : []);
    },
    keep: (_, data) => (kept = JSON.parse(JSON.stringify(data))),
    remove: () => undefined,
    onSecond: () => undefined,
  };
  const none: BinPhoto = {
    ...photo('2', []),
    status: 'left-out',
    code: 'no-die',
    remark: 'nothing',
    notes: [{ code: 'no-die', seen: 0, needed: 1 }],
  };
  const room = roomOf(
    photo('1', [die(0), die(20, { verdict: 'reject', reasons: [{ code: 'radius', seen: 1.3, limit: 0.8 }] })]),
    none,
  );
  await room.keepOn(shelf);
  room.overrule('look-again');
  room.keep();
  const again = new BinRoom();
  await again.keepOn(shelf);
  expect(again.tally).toEqual({ keep: 0, 'look-again': 1, reject: 1 });
  expect(again.isOverruled('1', 0)).toBe(true);
  expect(again.entries.map((e) => [e.name, e.file, e.judged])).toEqual(
    room.entries.map((e) => [e.name, null, e.judged]),
  );
  again.undo();
  expect(again.tally).toEqual({ keep: 1, 'look-again': 0, reject: 1 });
  // A reason of a later version is shown by its code.
  const one = photo('1', [die(0)]);
  kept = {
    ...(kept as object),
    photos: [{ ...one, dice: [{ ...die(0), reasons: [{ code: 'nonsense' }] }] }],
    steps: [],
  };
  const third = new BinRoom();
  await third.keepOn(shelf);
  expect(third.entries[0]!.judged!.dice[0]!.reasons.map(reasonIn)).toEqual(['nonsense']);
  // What is no bin is not taken for one.
  for (const wrong of [{ verdict: 'nonsense' }, { reasons: [] }, { reasons: ['nonsense'] }, { x: null }]) {
    kept = { ...(kept as object), photos: [{ ...one, dice: [{ ...die(0), ...wrong }] }] };
    const fourth = new BinRoom();
    await fourth.keepOn(shelf);
    expect(fourth.entries, JSON.stringify(wrong)).toEqual([]);
  }
});

test('the camera waits for hands, for dice to lie still, and for other dice', () => {
  const camera = new BinCamera(
    () => Promise.resolve(null),
    () => undefined,
  );
  const hand = photo('', [die(0), die(30, { size: null, reasons: [{ code: 'reaching-in' }] })]);
  expect(camera.judge({ ...photo('', []), status: 'left-out', code: 'no-card' })).toBe('no-card');
  expect(camera.judge(hand)).toBe('hands');
  const still = photo('', [die(0), die(20)]);
  expect([camera.judge(still), camera.judge(photo('', [die(0), die(23)])), camera.judge(still)]).toEqual([
    'hold',
    'hold',
    'hold',
  ]);
  expect([camera.judge(still), camera.judge(still)]).toEqual(['hold', 'sees']);
});

test('on a telephone the dice of a photo are read without scrolling sideways, each number under its name', async () => {
  const doubtful = [
    { code: 'near-radius', seen: 0.74, limit: 0.93 },
    { code: 'departure', seen: 0.155, limit: 0.06 },
  ] as const;
  const judged = photo('a long name of a photograph.jpg', [
    die(0),
    die(20, { verdict: 'look-again', sure: 0, reasons: doubtful }),
  ]);
  const room = roomOf(judged);
  await page.viewport(360, 844);
  const target = document.body.appendChild(document.createElement('div'));
  const component = mount(BinTable, { target, props: { room, photo: judged, index: 0 } });
  const outside = target.querySelector<HTMLElement>('.outside')!;
  expect(outside.scrollWidth).toBeLessThanOrEqual(outside.clientWidth);
  const [first, second] = [...target.querySelectorAll('tbody tr')].map((row) => row.textContent ?? '');
  expect(first).toContain('keep, sure 99');
  // How sure it is that nobody can tell is no number to show.
  expect(second).toContain('look again');
  expect(second).not.toContain('sure');
  expect(second).toContain('too near the limit of 0.93 mm to tell');
  const names = [...target.querySelectorAll<HTMLElement>('tbody tr:first-child [data-name]')];
  expect(names.map((e) => getComputedStyle(e, '::before').content)).toEqual([
    '"Size, mm"',
    '"Radius, mm"',
    '"Out of round, mm"',
  ]);
  await page.viewport(1280, 844);
  expect(getComputedStyle(names[0]!, '::before').content).toBe('none');
  await unmount(component);
  target.remove();
});
