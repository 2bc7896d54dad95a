import { describe, expect, test } from 'vitest';
import { elevations } from '../src/fit/grazed.ts';
import { DIE_KINDS, dieSolid } from '../src/geometry/solid.ts';
import { usualShape } from '../src/shots/candidates.ts';
import { plannedPhoto, plannedState, USUAL_SETTING } from '../src/shots/information.ts';
import { grazingShots } from '../src/shots/grazing.ts';
import { sweptThrough, type LiveSight } from '../src/live/sight.ts';
import { degrees, radians } from '../src/units.ts';

describe.each(DIE_KINDS)('photos for the crowns of a %s', (kind) => {
  const shape = usualShape(dieSolid(kind));
  const asked = grazingShots(shape, USUAL_SETTING, []);

  test('see the face that they name edge-on, and each leaves less of the doubt than the one before', () => {
    expect(asked.length).toBeGreaterThan(0);
    for (const { shot, before, after } of asked) {
      const seen = elevations(plannedState(shape, shot.turn), plannedPhoto(shot, USUAL_SETTING), 0);
      expect(Math.abs(seen[shape.solid.labels.indexOf(shot.grazes)]!)).toBeLessThan(2e-4);
      expect(after).toBeLessThan(0.9 * before);
    }
  });

  test('lay the die otherwise than the photos that are asked for already', () => {
    const others = grazingShots(
      shape,
      USUAL_SETTING,
      asked.map((a) => a.shot),
    );
    for (const { shot } of others)
      expect(asked.some((a) => a.shot.up === shot.up && a.shot.front === shot.front)).toBe(false);
  });
});

test('a d20 leans by what its angles say: a face next to the upright one stands 41.8 degrees off, so that ones below the belt are edge-on at about 19', () => {
  // Face normals of the icosahedron stand 41.81 degrees apart (closed form: arccos(sqrt(5)/3)); less by perspective.
  const [first] = grazingShots(usualShape(dieSolid('d20')), USUAL_SETTING, []);
  expect(degrees(first!.shot.lean)).toBeGreaterThan(10);
  expect(degrees(first!.shot.lean)).toBeLessThan(25);
});

test('a sweep fires near the wanted lean, or once it has passed it, and not while the card is cut or the light is gone', () => {
  const sight = (degreesOff: number, more: Partial<LiveSight> = {}): LiveSight => ({
    width: 800,
    height: 600,
    markers: 40,
    ring: [10, 10, 790, 10, 790, 590, 10, 590],
    stage: [],
    whole: true,
    fill: 0.9,
    lean: radians(18 + degreesOff),
    from: 0,
    blur: 1,
    stageLevel: 180,
    contrast: 150,
    things: 1,
    die: { x: 400, y: 300, size: 100 },
    ...more,
  });
  const wanted = radians(18);
  expect(sweptThrough(sight(0.4), wanted, null)).toBe(true);
  expect(sweptThrough(sight(3), wanted, sight(2))).toBe(false);
  expect(sweptThrough(sight(2), wanted, sight(-3))).toBe(true);
  expect(sweptThrough(sight(0, { whole: false }), wanted, null)).toBe(false);
  expect(sweptThrough(sight(0, { stageLevel: 20 }), wanted, null)).toBe(false);
  expect(sweptThrough(null, wanted, null)).toBe(false);
});
