import { expect, test } from 'vitest';
import type { DieState } from '../src/fit/die-state.ts';
import { contactsAt, type OutlineContacts } from '../src/fit/outline-contacts.ts';
import { exactOutline, unevenDie } from './support/synthetic-die.ts';

const { truth, photos } = unevenDie('d20', 5, 2);
const photo = photos[1]!;
const outline = exactOutline(truth, photo, 1, 3);
/** The same in numbers, but not the one that was met before. */
const likeness = (state: DieState): DieState => ({ ...state, distances: state.distances.slice() });
const turned: DieState = { ...truth, stands: truth.stands.map((s) => ({ ...s, yaw: s.yaw + 0.4 })) };
const sharper: DieState = { ...truth, radii: truth.radii.map((r) => 0.6 * r) };

const numbersOf = (at: OutlineContacts): number[][] =>
  [at.residual, at.scale, at.perScale, at.normal, at.place, at.depth, at.height, at.radius, at.share]
    .map((v) => Array.from(v))
    .concat([at.first, at.second, at.firstCorner, at.secondCorner].map((v) => Array.from(v)));

test('a die asked for again is met where another look at all of it meets it, to the last bit', () => {
  const anew = { ...outline };
  let moved = 0;
  for (const state of [truth, truth, turned, turned, turned, sharper, truth, truth]) {
    const before = Array.from(contactsAt(truth, photo, 1, { ...outline }).first);
    const kept = numbersOf(contactsAt(state, photo, 1, outline));
    expect(kept).toStrictEqual(numbersOf(contactsAt(likeness(state), photo, 1, anew)));
    if (kept.at(-4)!.some((ball, k) => ball !== before[k])) moved++;
  }
  expect(moved).toBeGreaterThan(2);
});

test('another stand, shape or camera in the same outline is not taken for the one before', () => {
  const here = numbersOf(contactsAt(truth, photo, 1, outline))[0]!;
  const other = { ...photo, camera: { ...photo.camera, f: photo.camera.f + 10 } };
  for (const there of [contactsAt(turned, photo, 1, outline), contactsAt(truth, other, 1, outline)])
    expect(Math.abs(numbersOf(there)[0]![3]! - here[3]!)).toBeGreaterThan(1e-3);
  expect(numbersOf(contactsAt(truth, photo, 1, outline))[0]![3]).toBeCloseTo(here[3]!, 9);
});
