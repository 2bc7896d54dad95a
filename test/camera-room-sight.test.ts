import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import sharp, { type Sharp } from 'sharp';
import { describe, expect, test } from 'vitest';
import { decodePicture } from '../src/cli/decode.ts';
import { LIVE, liveAdvice, liveSight, movedShare, touched, type LiveSight } from '../src/live/sight.ts';
import { radians } from '../src/units.ts';
import { poseOver, rendered, scene } from './support/render-card.ts';

const photo = (name: string): Sharp => sharp(join(import.meta.dirname, '../samples', name));
/** Leans that the samples' photos were found to have, degrees (`evencast measure samples/... --json`). */
const LEANS = { 'd6/01-1.jpg': 6.8, 'd6/02-2.jpg': 14, 'd20/03-18.jpg': 26.9 } as const;

/** Numbers up and in front in the d20 sample's photos, as its job states them. */
const SHOTS = parseShots('d20');
function parseShots(set: string): { photo: string; up: string; front: string }[] {
  const text = readFileSync(join(import.meta.dirname, '../samples', set, 'job.json'), 'utf8');
  const { shots } = JSON.parse(text) as { shots: { photo: string; up: number; front: number }[] };
  return shots.map(({ photo: name, up, front }) => ({ photo: name, up: String(up), front: String(front) }));
}

/** A photo as a live camera of half its size would show it. */
async function seen(edit: Sharp): Promise<LiveSight | null> {
  const bytes = await edit.resize(1008, null).jpeg({ quality: 92 }).toBuffer();
  return liveSight(await decodePicture(bytes));
}

describe('numbers read from a frame alone', () => {
  const die = { kind: 'd20', numbering: null } as const;

  test('of a d20: up and front of most, none wrong, though the camera is a guess', async () => {
    let known = 0;
    for (const { photo: name, up, front } of SHOTS) {
      const frame = await decodePicture(
        new Uint8Array(readFileSync(join(import.meta.dirname, '../samples/d20', name))),
      );
      const { numbers } = liveSight(frame, die)!;
      if (!numbers) continue;
      known++;
      expect(numbers.up, name).toBe(up);
      if (numbers.front !== null) expect(numbers.front, name).toBe(front);
    }
    expect(known).toBeGreaterThanOrEqual(0.7 * SHOTS.length);
  });

  test('are not looked for where no die is named', async () => {
    expect((await seen(photo('d20/03-18.jpg')))!.numbers).toBeUndefined();
  });
});

describe('a frame', () => {
  test.each(Object.entries(LEANS))(
    'of %s: card whole, one die, lean within a quarter of %d degrees',
    async (name, lean) => {
      const sight = (await seen(photo(name)))!;
      // The focal length is a guess: the sample's camera has one longer by a quarter.
      expect(sight.lean).toBeGreaterThan(radians(0.72 * lean));
      expect(sight.lean).toBeLessThan(radians(1.1 * lean));
      expect([sight.whole, sight.things]).toEqual([true, 1]);
      expect(liveAdvice(sight, null, sight)).toBe('good');
      expect(sight.die!.x / sight.width).toBeGreaterThan(0.3);
      expect(sight.die!.x / sight.width).toBeLessThan(0.7);
    },
  );

  test('tells the side that the camera looks from: half a turn of the picture changes nothing', async () => {
    const [upright, turned] = [await seen(photo('d20/03-18.jpg')), await seen(photo('d20/03-18.jpg').rotate(180))];
    expect(Math.abs(turned!.from - upright!.from)).toBeLessThan(0.05);
    expect(Math.abs(turned!.lean - upright!.lean)).toBeLessThan(0.02);
  });

  test('blurred by a Gaussian: told by about that much', async () => {
    const [one, other] = await Promise.all(
      [0.6, 2.2].map(async (sigma) => {
        const bytes = await photo('d6/01-1.jpg').blur(sigma).png().toBuffer();
        return liveSight(await decodePicture(bytes))!;
      }),
    );
    // The photo's own blur comes on top.
    expect(one!.blur!).toBeLessThan(1.3);
    expect(other!.blur!).toBeGreaterThan(LIVE.blur);
    expect(other!.blur!).toBeLessThan(3);
    expect(liveAdvice(other!, null, other!)).toBe('blur');
  });

  test('cut, far, dark, burnt or without a card: says which', async () => {
    const one = (): Sharp => photo('d6/01-1.jpg');
    const advice = async (edit: Sharp): Promise<string> => {
      const sight = await seen(edit);
      return liveAdvice(sight, null, sight);
    };
    const grey = { background: '#777' };
    expect(await advice(one().extract({ left: 0, top: 0, width: 1750, height: 1512 }))).toBe('card-cut');
    expect(await advice(one().extend({ left: 600, right: 600, top: 450, bottom: 450, ...grey }))).toBe('too-far');
    expect(await advice(one().linear(0.15, 0))).toBe('dark');
    expect(await advice(one().linear(1.4, 0))).toBe('burnt');
    const blank = sharp({ create: { width: 2016, height: 1512, channels: 3, background: '#999' } });
    expect(await advice(blank.png())).toBe('no-card');
  });
});

describe('a rendered card without a die', () => {
  // The guessed focal length is the camera's own here.
  const camera = { f: 0.8 * 800, cx: 399.5, cy: 319.5, k1: 0, k2: 0 };

  test.each([
    [20, 30],
    [15, 160],
  ])('leaned by %d degrees and turned by %d: found so, and nothing on the stage', (lean, spin) => {
    const cameraFromCard = poseOver(lean, spin, 0, 160);
    const sight = liveSight(rendered(scene({ width: 800, height: 640, samples: 4, camera, cameraFromCard })))!;
    expect(Math.abs(sight.lean - radians(lean))).toBeLessThan(0.02);
    expect(Math.abs(Math.abs(sight.from) - radians(spin))).toBeLessThan(0.06);
    expect([sight.whole, sight.things, sight.die]).toEqual([true, 0, null]);
    expect(liveAdvice(sight, null, sight)).toBe('no-die');
  });
});

describe('what is told', () => {
  const good: LiveSight = {
    width: 1000,
    height: 750,
    markers: 48,
    ring: [100, 100, 900, 100, 900, 700, 100, 700],
    stage: [200, 200, 800, 200, 800, 600, 200, 600],
    whole: true,
    fill: 0.8,
    lean: 0.25,
    from: 0,
    blur: 1,
    stageLevel: 180,
    contrast: 150,
    things: 1,
    die: { x: 500, y: 400, size: 100 },
  };

  test('is the first thing to mend, down to the lean and the hand', () => {
    const told = (change: Partial<LiveSight>, lean: number | null = 0.25): string =>
      liveAdvice({ ...good, ...change }, lean, { ...good, ...change });
    expect(told({})).toBe('good');
    expect(told({ whole: false, fill: 0.1 })).toBe('card-cut');
    expect(told({ lean: 0.25 - LIVE.lean - 0.01 })).toBe('lean-more');
    expect(told({ lean: 0.25 + LIVE.lean + 0.01 })).toBe('lean-less');
    expect(told({ lean: 0.5 }, null)).toBe('good');
    expect(told({ from: 1.5 })).toBe('wrong-side');
    expect(told({ from: 3, lean: 0.1 }, 0.1)).toBe('good');
    expect(told({ things: 0, die: null })).toBe('no-die');
    expect(liveAdvice(good, 0.25, null)).toBe('hold-still');
    expect(liveAdvice(good, 0.25, { ...good, ring: good.ring.map((v) => v + 10) })).toBe('hold-still');
    // A slow look's card may have moved in proportion: the same speed.
    expect(liveAdvice(good, 0.25, { ...good, ring: good.ring.map((v) => v + 10) }, 0.25)).toBe('good');
    expect(liveAdvice(good, 0.25, { ...good, ring: good.ring.map((v) => v + 3) })).toBe('hold-still');
    expect(movedShare(good, { ...good, ring: good.ring.map((v) => v + 10) })).toBeCloseTo(0.01, 9);
  });

  test('a die counts as touched when it was moved, turned to another width, or gone; not when the camera was', () => {
    const nearer: LiveSight = {
      ...good,
      ring: good.ring.map((v) => v + 7),
      die: { x: 507, y: 407, size: 100 },
    };
    expect(touched(nearer, good)).toBe(false);
    expect(touched({ ...good, die: { x: 530, y: 400, size: 100 } }, good)).toBe(true);
    expect(touched({ ...good, die: { x: 500, y: 400, size: 110 } }, good)).toBe(true);
    expect(touched({ ...good, things: 0, die: null }, good)).toBe(true);
    expect(touched(null, good)).toBe(true);
  });
});

test('the job of a sample names the photos used here', () => {
  for (const name of Object.keys(LEANS)) {
    const [kind, file] = name.split('/') as [string, string];
    const job = readFileSync(join(import.meta.dirname, '../samples', kind, 'job.json'), 'utf8');
    expect(job).toContain(file);
  }
});
