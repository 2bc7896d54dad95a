import { describe, expect, test } from 'vitest';
import { faceLook, likenesses, type FaceLook } from '../src/faces/face-look.ts';
import { faceMemory } from '../src/faces/face-memory.ts';
import { numberingGuesses } from '../src/faces/numberings.ts';
import { offSkin } from '../src/faces/off-skin.ts';
import { takeBackdrop } from '../src/faces/reader/backdrop.ts';
import { GRID, GRID_REACH } from '../src/faces/reader/grid.ts';
import { plainMark } from '../src/faces/reader/plain-mark.ts';
import { readingTrust } from '../src/faces/reading-trust.ts';
import { labelLog, type LabelReading, type SlotReading } from '../src/faces/readings.ts';
import { seenAgain } from '../src/faces/seen-again.ts';
import { takeSmoothLight } from '../src/faces/smooth-light.ts';
import { turnTable } from '../src/faces/turn-table.ts';
import { dieSolid } from '../src/geometry/solid.ts';
import { coloursOf, withColours } from './face-colours.ts';

const mean = (values: readonly number[]): number => values.reduce((s, v) => s + v, 0) / values.length;

describe('light behind print', () => {
  const all = Array.from({ length: GRID * GRID }, (_, k) => [k % GRID, Math.floor(k / GRID)] as const);
  const [middle, mask] = [(GRID - 1) / 2, new Float32Array(GRID * GRID).fill(1)];
  const sheen = (x: number, y: number): number => 0.4 * Math.exp(-((x - 20) ** 2 + (y - 24) ** 2) / (2 * 18 ** 2));
  const stroke = (x: number, y: number): number => (Math.abs(x - middle) < 2.5 && Math.abs(y - middle) < 14 ? -0.3 : 0);
  const taken = (rgb: Float32Array, on: Float32Array): Float32Array => {
    const memory = withColours(rgb, on);
    takeBackdrop(memory);
    return coloursOf(memory, on.length);
  };
  const left = (of: (x: number, y: number) => number): Float32Array => {
    const rgb = Float32Array.from({ length: 3 * all.length }, (_, i) => 0.5 + of(...all[Math.floor(i / 3)]!));
    return taken(rgb, mask);
  };

  test('a sheen wider than a stroke is taken away, all but a third', () => {
    const inner: number[] = [];
    const rgb = left(sheen);
    for (const [x, y] of all)
      if (Math.hypot(x - middle, y - middle) < 24) inner.push(Math.abs(rgb[3 * (y * GRID + x)]!));
    expect(Math.max(...inner)).toBeLessThan(0.33 * 0.4);
  });

  test('a stroke below it stays, with and without a sheen', () => {
    for (const of of [stroke, (x: number, y: number): number => stroke(x, y) + sheen(x, y)]) {
      const rgb = left(of);
      const on = mean(all.flatMap(([x, y], k) => (stroke(x, y) < 0 ? [rgb[3 * k]!] : [])));
      const beside = mean(
        all.flatMap(([x, y], k) => (stroke(x, y) === 0 && stroke(x + 6, y) < 0 ? [rgb[3 * k]!] : [])),
      );
      expect(beside - on).toBeGreaterThan(0.24);
    }
  });

  test('what lies outside the face says nothing', () => {
    const half = Float32Array.from(all, ([x]) => (x < GRID / 2 ? 1 : 0));
    const rgb = Float32Array.from({ length: 3 * all.length }, (_, i) =>
      all[Math.floor(i / 3)]![0] < GRID / 2 ? 0.5 : 9,
    );
    expect(Math.max(...taken(rgb, half).map(Math.abs))).toBeLessThan(1e-5);
  });
});

describe('likeness of two looks', () => {
  const size = 96;
  const bar = (x: number, y: number): boolean => Math.abs(x) < 0.08 && Math.abs(y) < 0.45;
  const cross = (x: number, y: number): boolean => bar(x, y) || (Math.abs(x) < 0.3 && Math.abs(y + 0.2) < 0.08);
  /** A square face with a print, and a highlight on it, x right and y down from its middle in half sides. */
  const look = (print: (x: number, y: number) => boolean, highlight: readonly [x: number, y: number, most: number]) => {
    const light = Float32Array.from({ length: 3 * size * size }, (_, i) => {
      const k = Math.floor(i / 3);
      const [x, y] = [(2 * (k % size)) / size - 1, (2 * Math.floor(k / size)) / size - 1];
      const [hx, hy, most] = highlight;
      return (print(x, y) ? 0.1 : 0.4) + most * Math.exp(-((x - hx) ** 2 + (y - hy) ** 2) / (2 * 0.6 ** 2));
    });
    const mask = new Uint8Array(size * size).fill(1);
    return faceLook({ face: 0, photo: 0, size, umPerPx: 100, light, mask, slant: 1, photoPx: [2, 2] }, 4);
  };

  const likeness = (a: FaceLook, turn: number, b: FaceLook): number => likenesses([a], [[b]], 4)[0]![turn]!;

  test('hardly hangs on a highlight that wanders', () => {
    const [here, there] = [look(cross, [-0.6, -0.5, 0.4]), look(cross, [0.5, 0.6, 0.4])];
    expect(likeness(here, 0, there)).toBeGreaterThan(0.9);
    expect(likeness(here, 1, there)).toBeLessThan(0.5);
    expect(likeness(look(bar, [-0.6, -0.5, 0.4]), 1, there)).toBeLessThan(0.5);
  });

  test('cannot be told of a face of which too little is seen', () => {
    const whole = look(cross, [0, 0, 0]);
    const few = { ...whole, turned: whole.turned.map((t) => ({ ...t, list: t.list.slice(0, 40) })) };
    expect(likeness(few, 0, whole)).toBeNaN();
  });
});

describe('light over a face', () => {
  const side = 16;
  const cells = (of: (x: number, y: number) => number, seen: (x: number) => boolean): Float32Array =>
    Float32Array.from({ length: 4 * side * side }, (_, i) => {
      const [x, y] = [Math.floor(i / 4) % side, Math.floor(i / 4 / side)];
      return i % 4 < 3 ? of(x, y) : seen(x) ? 1 : 0;
    });

  /** What is left of some cells; null where their smooth light cannot be told. */
  const left = (of: Float32Array): Float32Array | null => {
    const memory = faceMemory();
    const at = memory.room(of.byteLength);
    memory.floats(at, of.length).set(of);
    const told = takeSmoothLight(memory, at, side);
    if (!told) expect(memory.floats(at, of.length)).toEqual(of);
    return told ? memory.floats(at, of.length).slice() : null;
  };

  test('of third degree is taken away to nothing, where a part is seen too; what is not seen stays', () => {
    const before = cells(
      (x, y) => 2 + 0.1 * x - 0.03 * x * y + 0.001 * x ** 3 - 0.002 * x * y * y,
      (x) => x > 4,
    );
    left(before)!.forEach((v, i) => {
      if (i % 4 < 3 && before[i - (i % 4) + 3]) expect(Math.abs(v)).toBeLessThan(1e-4);
      else expect(v).toBe(before[i]);
    });
  });

  test('cannot be told from print where a streak is seen', () => {
    const streak = cells(
      () => 1,
      (x) => x < 3,
    );
    expect(left(streak)).toBeNull();
  });
});

describe('readings of one face in several photos', () => {
  const table = turnTable(dieSolid('d6'));
  const reading = (slot: number): SlotReading => ({
    slot,
    weight: 1,
    reading: { labels: ['1'], labelLogs: [-0.1], other: -3 },
  });

  test('count as the root of their number, wherever the face stands in each; one seen once counts in full', () => {
    // The second photo's die is turned: another slot shows the same face.
    const way = [table.none, (table.none + 5) % table.ways];
    const face = (i: number, slot: number): number => table.face[way[i]! * table.faces + slot]!;
    const other = [0, 1, 2, 3, 4, 5].find((slot) => face(1, slot) === 0)!;
    const beside = [0, 1, 2, 3, 4, 5].find((slot) => face(1, slot) === 1)!;
    const weights = seenAgain(table, way, [[reading(0)], [reading(other), reading(beside)]]).map((list) =>
      list.map((r) => r.weight),
    );
    expect(weights).toEqual([[1 / Math.sqrt(2)], [1 / Math.sqrt(2), 1]]);
  });
});

describe('readings that disagree with the best answer', () => {
  const solid = dieSolid('d6');
  const table = turnTable(solid);
  const [guess] = numberingGuesses('d6', null);
  const own = Int32Array.of(table.none);
  /** All faces of a d6, each read as the next label, and so sure of it. */
  const readings = (off: number, chance: number): SlotReading[] =>
    solid.labels.map((_, slot) => ({
      slot,
      weight: 1,
      reading: {
        labels: solid.labels,
        labelLogs: solid.labels.map((__, l) => Math.log(l === (slot + off) % 6 ? chance : (0.99 - chance) / 5)),
        other: Math.log(0.005),
      },
    }));

  test('count less the surer they are; those that agree, and those that leave it open, count in full', () => {
    const trust = (off: number, chance: number): number => readingTrust(table, guess!, own, [readings(off, chance)]);
    expect([trust(0, 0.95), trust(0, 0.5), trust(1, 0.2)]).toEqual([1, 1, 1]);
    expect(trust(1, 0.6)).toBeLessThan(1);
    expect(trust(1, 0.95)).toBeLessThan(0.5 * trust(1, 0.6));
    // By hand: six times -log(0.008) against mean and spread of six times the log of 0.95, five 0.008, 0.005 and 0.005 left.
    const mean = -(0.95 * Math.log(0.95) + 0.04 * Math.log(0.008) + 0.01 * Math.log(0.005));
    const square = 0.95 * Math.log(0.95) ** 2 + 0.04 * Math.log(0.008) ** 2 + 0.01 * Math.log(0.005) ** 2;
    const spread = Math.sqrt(6 * (square - mean ** 2));
    expect(trust(1, 0.95)).toBeCloseTo((6 * mean + spread) / (-6 * Math.log(0.008)), 9);
  });
});

describe('a face of two swirled colours', () => {
  const size = 64;
  const [RED, BLUE, INK] = [
    [0.5, 0.1, 0.1],
    [0.1, 0.1, 0.5],
    [0.1, 0.5, 0.1],
  ] as const;
  const far = (k: number): number => Math.hypot((k % size) - 31.5, Math.floor(k / size) - 31.5);
  const mask = Uint8Array.from({ length: size * size }, (_, k) => (far(k) < 30 ? 1 : 0));
  const print = (k: number): boolean => far(k) < 8;
  const light = Float32Array.from({ length: 3 * size * size }, (_, i) => {
    const k = Math.floor(i / 3);
    const stripe = Math.floor(((k % size) + Math.floor(k / size)) / 6) % 2 === 0 ? RED : BLUE;
    return (print(k) ? INK : stripe)[i % 3]!;
  });

  test('print of a third colour stands out as the only thing that is light', () => {
    const shown = offSkin({ size, light, mask })!;
    const at = (where: (k: number) => boolean): number[] =>
      Array.from(mask, (m, k) => (m && where(k) ? Math.sqrt(shown.light[3 * k]!) : -1)).filter((v) => v >= 0);
    const skin = at((k) => far(k) > 12);
    expect(Math.min(...at((k) => far(k) < 6))).toBeGreaterThan(1.5 * Math.max(...skin));
  });

  test('a face of which hardly anything is seen has no second look', () => {
    expect(offSkin({ size, light, mask: mask.map((m, k) => (far(k) < 3 ? m : 0)) })).toBeNull();
  });
});

describe('a sign in place of the highest number', () => {
  const labels = ['1', '2', '3', '4', '5', '6'];
  const reading: LabelReading = { labels, labelLogs: [-5, -5, -5, -5, -5, -2], other: -0.2 };

  test('is a matter of the die: one guess has it, another not, and most dice have none', () => {
    const [plain, signed] = numberingGuesses('d6', null) as [
      ReturnType<typeof numberingGuesses>[0],
      ReturnType<typeof numberingGuesses>[0],
    ];
    expect([plain.sign, signed.sign]).toEqual([false, true]);
    expect(plain.prior - signed.prior).toBeGreaterThan(2);
    expect([labelLog(reading, '6', plain), labelLog(reading, '6', signed)]).toEqual([-2, -0.2]);
    expect([labelLog(reading, '1', plain), labelLog(reading, '1', signed)]).toEqual([-5, -5]);
  });
});

describe('one plain mark', () => {
  const radius = GRID / 2 / GRID_REACH;
  const half = GRID / 2 - 0.5;
  /** A square face with marks on it, x right and y down from its middle in face radii. */
  const grid = (on: (x: number, y: number) => boolean, texture: (x: number, y: number) => number = () => 0) => {
    const at = (k: number): [number, number] => [((k % GRID) - half) / radius, (Math.floor(k / GRID) - half) / radius];
    const mask = Float32Array.from({ length: GRID * GRID }, (_, k) =>
      Math.max(...at(k).map(Math.abs)) < 0.95 ? 1 : 0,
    );
    const value = Float32Array.from(mask, (m, k) => (m ? (on(...at(k)) ? -0.4 : 0) + texture(...at(k)) : 0));
    return { value, mask };
  };
  const disc = (x: number, y: number): boolean => Math.hypot(x, y) < 0.18;
  const bar = (x: number, y: number): boolean => Math.abs(x) < 0.07 && Math.abs(y) < 0.4;

  test('a pip alone is a disc; a stroke is a bar, and its turn is told', () => {
    expect(plainMark(grid(disc))).toEqual({ form: 'disc' });
    expect(plainMark(grid(bar))).toMatchObject({ form: 'bar' });
    for (const angle of [-60, -20, 0, 30, 75]) {
      const [c, s] = [Math.cos((angle * Math.PI) / 180), Math.sin((angle * Math.PI) / 180)];
      // Turned counter-clockwise as drawn.
      const mark = plainMark(grid((x, y) => bar(c * x - s * y, s * x + c * y)));
      expect(mark?.form).toBe('bar');
      expect(
        Math.abs(Math.sin((mark as { turn: number }).turn - (angle * Math.PI) / 180)),
        `${angle} degrees`,
      ).toBeLessThan(0.06);
    }
  });

  test.each([
    ['two pips', (x: number, y: number): boolean => disc(x - 0.4, y - 0.4) || disc(x + 0.4, y + 0.4)],
    ['a pip off the middle', (x: number, y: number): boolean => disc(x - 0.4, y)],
    ['a stroke off the middle, as of a worn 4', (x: number, y: number): boolean => bar(x - 0.2, y)],
    [
      'a stroke with a flag',
      (x: number, y: number): boolean => bar(x, y) || (Math.abs(y + 0.3 + x) < 0.06 && x < 0 && x > -0.25),
    ],
    ['a ring', (x: number, y: number): boolean => Math.abs(Math.hypot(x, y) - 0.25) < 0.08],
    ['a stroke and a dot', (x: number, y: number): boolean => bar(x, y) || disc((x - 0.4) * 2, (y - 0.3) * 2)],
    ['nothing', (): boolean => false],
  ])('%s is none', (_, on) => {
    expect(plainMark(grid(on))).toBeNull();
  });

  test('on a skin of several colours none is sure', () => {
    expect(plainMark(grid(bar, (x, y) => (Math.sin(9 * x + 4 * y) > 0.3 ? 0.2 : 0)))).toBeNull();
  });
});
