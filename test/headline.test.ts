import { expect, test } from 'vitest';
import type { Added } from '../src/measure/look.ts';
import { disturbance } from '../src/measure/headline.ts';
import type { NoteCode } from '../src/formats/notes.ts';
import { madeAdded } from './support/made-added.ts';

const photo = (...codes: NoteCode[]): Added => madeAdded({ notes: codes.map((code) => ({ code })) });
const NEAR = { as: 'of-length', seen: 55 } as const;

test('a set that fits no die is refused for what most of its photos showed, the likeliest first', () => {
  expect(disturbance([photo('beside', 'burnt'), photo('burnt', 'beside'), photo('beside')], NEAR)?.code).toBe('burnt');
  expect(disturbance([photo('noisy'), photo(), photo()], NEAR)).toBeNull();
  expect(disturbance([photo(), photo()], NEAR)).toBeNull();
});

test('an outline that departs as far as another kind of die does is of another kind, whatever the light', () => {
  const burnt = [photo('burnt'), photo('burnt')];
  expect(disturbance(burnt, { as: 'of-width', seen: 22 })).toBeNull();
  expect(disturbance(burnt, { as: 'of-width', seen: 6 })?.code).toBe('burnt');
});
