import { afterAll, describe, expect, test } from 'vitest';
import { loadCv } from '../src/cli/opencv-node.ts';
import { createBin, type Bin } from '../src/bin/bin.ts';
import type { BinJob, BinPhoto } from '../src/bin/types.ts';
import type { Picture } from '../src/vision/picture.ts';
import { BinScene, D6_JOB, type PutDie } from './support/bin-scene.ts';

const cv = await loadCv();

/** Held against a nominal size: what a bin of one die needs. */
const TYPED: BinJob = { ...D6_JOB, reference: { size: { value: 16, u: 0 }, radius: null, source: 'typed' } };

const d6 = (x: number, y: number, yaw: number, changes: Partial<PutDie> = {}): PutDie => ({
  kind: 'd6',
  x,
  y,
  yaw,
  up: 4,
  size: 16,
  radius: 0.8,
  ...changes,
});

const judged = (scene: BinScene, job: BinJob = TYPED, bin: Bin = createBin(cv, job)): BinPhoto =>
  bin.addPhoto({ name: 'a.jpg', picture: scene.picture, focal: scene.scene.camera.f });

const at = (photo: BinPhoto, x: number, y: number): BinPhoto['dice'][number] => {
  const found = photo.dice.find((d) => Math.hypot(d.x - x, d.y - y) < 3);
  if (!found) throw new Error(`nothing at ${x}, ${y}: ${JSON.stringify(photo.dice.map((d) => [d.x, d.y]))}`);
  return found;
};

afterAll(() => expect(cv.live()).toBe(0));

describe('a bin of cubes', () => {
  const photo = judged(
    new BinScene()
      .die(d6(-27, 13, 0.2))
      .die(d6(0, 14, 0.9))
      .die(d6(27, 12, 1.3, { radius: 2 }))
      .die(d6(-26, -13, 0.5, { size: 15.4 }))
      .die(d6(1, -12, 1.1, { proud: { 0: 0.18, 1: 0.18 } }))
      .die(d6(26, -14, 0)),
    D6_JOB,
  );

  test('finds every die where it stands', () => {
    expect(photo.dice).toHaveLength(6);
    for (const [x, y] of [
      [-27, 13],
      [0, 14],
      [27, 12],
      [-26, -13],
      [1, -12],
      [26, -14],
    ] as const) {
      const d = at(photo, x, y);
      expect(Math.hypot(d.x - x, d.y - y)).toBeLessThan(0.2);
    }
  });

  test('tells sizes and radii within what it claims', () => {
    for (const [x, y, size, radius] of [
      [-27, 13, 16, 0.8],
      [0, 14, 16, 0.8],
      [27, 12, 16, 2],
      [-26, -13, 15.4, 0.8],
      [26, -14, 16, 0.8],
    ] as const) {
      const d = at(photo, x, y);
      expect(Math.abs(d.size!.value - size)).toBeLessThan(Math.min(0.04, 2 * d.size!.u));
      expect(Math.abs(d.radius!.value - radius)).toBeLessThan(2 * d.radius!.u + 0.05);
    }
  });

  test('keeps the good and rejects the others, each for its own reason', () => {
    expect([at(photo, -27, 13), at(photo, 0, 14), at(photo, 26, -14)].map((d) => d.verdict)).toEqual([
      'keep',
      'keep',
      'keep',
    ]);
    const first = (x: number, y: number): string => `${at(photo, x, y).verdict}: ${at(photo, x, y).reasons[0]!.code}`;
    expect(first(27, 12)).toBe('reject: radius');
    expect(first(-26, -13)).toBe('reject: size');
    expect(first(1, -12)).toBe('reject: departure');
    expect(at(photo, 27, 12).reason).toMatch(/^corner radius \d\.\d\d, limit \d\.\d\d/);
    expect(at(photo, 27, 12).rounding).toBe('over');
    expect(at(photo, 0, 14).rounding).toBe('alike');
  });
});

test.each([
  ['dark', [0.02, 0.02, 0.025]],
  ['blue', [0.03, 0.06, 0.3]],
] as const)('eight %s cubes: each is found, and only those that are off are rejected', (_, colour) => {
  const scene = new BinScene();
  const places = [
    [-30, 13],
    [-10, 14],
    [11, 13],
    [30, 12],
    [-29, -13],
    [-9, -14],
    [12, -13],
    [31, -12],
  ] as const;
  places.forEach(([x, y], i) => {
    const off: Partial<PutDie> =
      i === 3 ? { size: 12.5 } : i === 4 ? { proud: { 0: 0.2, 1: 0.2 } } : i === 6 ? { radius: 1.5 } : {};
    scene.die(d6(x, y, 0.7 * i, { size: 13, radius: 0.6, colour, ...off }));
  });
  const photo = judged(scene, D6_JOB);
  expect(photo.dice).toHaveLength(8);
  expect(places.map(([x, y]) => at(photo, x, y).verdict)).toEqual([
    'keep',
    'keep',
    'keep',
    'reject',
    'reject',
    'keep',
    'reject',
    'keep',
  ]);
  for (const [i, [x, y]] of places.entries())
    if (i !== 4) expect(Math.abs(at(photo, x, y).size!.value - (i === 3 ? 12.5 : 13))).toBeLessThan(0.06);
});

describe('what is no die by itself', () => {
  const codes = (photo: BinPhoto): string[] => photo.dice.map((d) => d.reasons[0]!.code).sort();

  test('another kind, a coin and a shadow are named, and the die beside them is judged', () => {
    const photo = judged(
      new BinScene()
        .shadow(24, 16, 8, 0.45)
        .die(d6(-25, 8, 0.3))
        .die({ ...d6(2, 10, 0.2), kind: 'd8', size: 14 })
        .disc(3, -14, 10, [0.3, 0.25, 0.1]),
    );
    expect(codes(photo)).toEqual(['other-kind', 'round', 'shadow', 'within']);
    expect(at(photo, 2, 10).reason).toBe('looks like a d8, not a d6');
    expect(at(photo, -25, 8).verdict).toBe('keep');
    expect(photo.dice.filter((d) => d.size === null).every((d) => d.verdict === 'look-again')).toBe(true);
  });

  test('a hand is said to reach in', () => {
    const photo = judged(new BinScene().die(d6(-25, 10, 0.3)).hand(12, 0, 9));
    expect(codes(photo)).toEqual(['reaching-in', 'within']);
  });

  test('a hand that holds a die is said to reach in, too; a hard shadow over the border is not', () => {
    const held = judged(
      new BinScene()
        .die(d6(-25, 10, 0.3))
        .hand(12, 0, 7)
        .die(d6(12, 6, 0.4)),
    );
    expect(codes(held)).toContain('reaching-in');
    expect(at(held, -25, 10).verdict).toBe('keep');
    const shaded = judged(new BinScene().shadow(-22, -22, 12, 0.45).die(d6(-22, -8, 0.3)));
    expect(codes(shaded)).not.toContain('reaching-in');
    expect(Math.abs(at(shaded, -22, -8).size!.value - 16)).toBeLessThan(0.05);
  });

  test('dice that touch are said to touch, and are not rejected for it', () => {
    const photo = judged(new BinScene().die(d6(-8.01, 0, 0)).die(d6(8.0, 3, 0)));
    expect(photo.dice).toHaveLength(2);
    for (const d of photo.dice) {
      expect(d.reasons.map((r) => r.code)).toContain('touching');
      expect(d.verdict).toBe('look-again');
    }
  });

  test('a die with a hard shadow on one side is measured without it', () => {
    const photo = judged(new BinScene().shadow(-12, 4, 9, 0.45).die(d6(-22, 0, 0.3)));
    expect(Math.abs(at(photo, -22, 0).size!.value - 16)).toBeLessThan(0.04);
  });

  test('an empty stage and a photo without a card are left out and say why', () => {
    const bin = createBin(cv, TYPED);
    expect(judged(new BinScene(), TYPED, bin)).toMatchObject({ status: 'left-out', code: 'no-die' });
    const blank = { width: 800, height: 600, channels: 3 as const, data: new Uint8Array(800 * 600 * 3).fill(90) };
    expect(bin.addPhoto({ name: 'b.jpg', picture: blank, focal: null })).toMatchObject({
      status: 'left-out',
      code: 'no-card',
    });
  });
});

describe('photos of one bin', () => {
  test('a twin is left out, a poor photo costs only itself, nothing is kept of a photo but points', () => {
    const bin = createBin(cv, TYPED);
    const one = new BinScene().die(d6(-25, 10, 0.3)).die(d6(10, 0, 0.8));
    const two = new BinScene({ seed: 5 }).die(d6(20, 10, 1.3)).die(d6(-10, -3, 0.1));
    const add = (name: string, s: BinScene): BinPhoto =>
      bin.addPhoto({ name, picture: s.picture, focal: s.scene.camera.f });
    add('1.jpg', one);
    expect(add('2.jpg', one)).toMatchObject({ status: 'left-out', code: 'duplicate' });
    bin.refuse('3.jpg', { code: 'truncated' });
    add('4.jpg', two);
    const result = bin.finish();
    expect(result.photos.map((p) => p.status)).toEqual(['judged', 'left-out', 'left-out', 'judged']);
    expect(result.tally).toEqual({ keep: 4, lookAgain: 0, reject: 0 });
    expect(JSON.stringify(bin.finish())).toBe(JSON.stringify(result));
  });

  test('photos that tell nothing change nothing in the others, and leave nothing behind', () => {
    const scenes = [3, 4, 5].map((seed) =>
      new BinScene({ seed }).die(d6(-25, 10 - seed, 0.3 * seed)).die(d6(10, seed, 0.8)),
    );
    const dark = (by: number): Picture => {
      const { picture } = scenes[0]!;
      return { ...picture, data: picture.data.map((v) => v * by) };
    };
    const sorted = (poor: readonly Picture[]): readonly BinPhoto[] => {
      const bin = createBin(cv, TYPED);
      const add = (name: string, picture: Picture): BinPhoto =>
        bin.addPhoto({ name, picture, focal: scenes[0]!.scene.camera.f });
      scenes.forEach(({ picture }, i) => {
        add(`${i}.jpg`, picture);
        if (poor[i]) expect(add(`poor-${i}.jpg`, poor[i]).status).toBe('left-out');
      });
      return bin.finish().photos.filter((p) => !p.photo.startsWith('poor'));
    };
    expect(sorted([dark(0), dark(0.02), new BinScene({ seed: 9 }).picture])).toEqual(sorted([]));
    expect(cv.live()).toBe(0);
  });

  test('dice at the same places are matched by place, others are not', () => {
    const matched = (shift: number, size: number): ReturnType<Bin['finish']>['matched'] => {
      const bin = createBin(cv, { ...TYPED, sameDice: true });
      const add = (name: string, s: BinScene): BinPhoto =>
        bin.addPhoto({ name, picture: s.picture, focal: s.scene.camera.f });
      add('1.jpg', new BinScene().die(d6(-20, 5, 0.3)).die(d6(15, 0, 0.8)));
      add('2.jpg', new BinScene({ seed: 3 }).die(d6(-20 + shift, 5, 1.1, { up: 0 })).die(d6(15, 1, 0.2, { size })));
      return bin.finish().matched;
    };
    expect(matched(1, 16)).toMatchObject({ possible: true });
    expect(matched(1, 16)!.places).toHaveLength(2);
    expect(matched(15, 16)).toMatchObject({ possible: false });
    expect(matched(1, 15)!.remark).toMatch(/another size/);
  });
});
