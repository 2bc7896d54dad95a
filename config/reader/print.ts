/** What can stand on a face: how far a place lies inside its print. */
import { seededNormal, type Random } from '../../src/maths/random.ts';
import { distanceAt, LETTERS, type Fount, type Glyph } from './founts.ts';

/**
 * How far inside the print a place lies (negative outside), and the largest such distance that is told rightly. Place and distance in print
 * heights, x to the right and y up, the middle of the print at the origin.
 */
export type Print = (x: number, y: number) => number;

export interface Printed {
  readonly print: Print;
  /** Half width and half height, in print heights. */
  readonly half: readonly [number, number];
}

/** How figures are set: all numbers of a die alike. */
export interface Setting {
  readonly fount: Fount;
  /** Added to each figure's outline, heights: bolder or thinner. */
  readonly weight: number;
  /** Width of a figure as a multiple of the fount's own. */
  readonly stretch: number;
  readonly slant: number;
  readonly spacing: number;
  /** Beneath or beside 6 and 9: nothing, a dot at the line, a dot beneath, a line beneath. */
  readonly mark: 'none' | 'dot' | 'dot below' | 'line';
  /** Figures bent along a wave, across and along: swing in heights, waves per height, phase. */
  readonly bent?: readonly [across: Wave, along: Wave];
}

type Wave = readonly [swing: number, waves: number, phase: number];

const MARKS = ['none', 'dot', 'dot below', 'line'] as const;

/** A setting drawn at random. */
export function someSetting(founts: readonly Fount[], random: Random): Setting {
  const normal = seededNormal(random);
  return {
    fount: founts[Math.floor(random() * founts.length)]!,
    weight: Math.max(-0.015, Math.min(0.035, 0.012 * normal())),
    stretch: Math.exp(0.1 * normal()),
    slant: random() < 0.7 ? 0 : 0.12 * normal(),
    spacing: 0.05 * normal(),
    mark: MARKS[Math.floor(random() * 4)]!,
  };
}

/** A setting as it is learnt from: freer than any die's, so that what is common to all founts counts. */
export function learntSetting(founts: readonly Fount[], random: Random): Setting {
  const normal = seededNormal(random);
  const wave = (): Wave => [0.035 * random(), 0.4 + 0.9 * random(), 6.283 * random()];
  return {
    ...someSetting(founts, random),
    weight: -0.015 + 0.055 * random(),
    stretch: Math.exp(0.16 * normal()),
    ...(random() < 0.6 ? { bent: [wave(), wave()] as const } : {}),
  };
}

/** A number (or a word of letters that the fount has) as it is set; `marked` tells whether it carries its setting's mark. */
export function setNumber(text: string, setting: Setting, marked: boolean): Printed {
  const { fount, weight, stretch, slant, spacing, mark, bent } = setting;
  const parts: { glyph: Glyph; at: number }[] = [];
  let x = 0;
  for (const c of text) {
    const glyph = fount.glyphs.get(c)!;
    parts.push({ glyph, at: x });
    x += glyph.advance + spacing;
  }
  const end = x - spacing;
  const middle = end / 2;
  const shown = marked ? mark : 'none';
  const dot = (dx: number, dy: number): number => 0.085 + weight - Math.hypot(dx, dy);
  const swung = ([swing, waves, phase]: Wave, by: number): number => swing * Math.sin(6.283 * waves * by + phase);
  const print: Print = (px0, py0) => {
    const px = bent ? px0 + swung(bent[0], py0) : px0;
    const py = bent ? py0 + swung(bent[1], px0) : py0;
    const y = py + 0.5;
    const gx = (px - slant * py) / stretch + middle;
    let d = -1;
    for (const { glyph, at } of parts) d = Math.max(d, distanceAt(glyph, gx - at, y) * Math.min(1, stretch) + weight);
    if (shown === 'dot') d = Math.max(d, dot((gx - end - 0.04) * stretch, y - 0.08));
    else if (shown === 'dot below') d = Math.max(d, dot((gx - middle) * stretch, y + 0.22));
    else if (shown === 'line')
      d = Math.max(d, Math.min(0.045 + weight - Math.abs(y + 0.2), 0.42 * end - Math.abs(gx - middle)));
    return d;
  };
  return { print, half: [(end * stretch) / 2, 0.5] };
}

/** Places of 1 to 6 pips, in units of the square's half width to the outer pips. */
const PIPS: Readonly<Record<string, readonly (readonly [number, number])[]>> = {
  '1': [[0, 0]],
  '2': [
    [-1, -1],
    [1, 1],
  ],
  '3': [
    [-1, -1],
    [0, 0],
    [1, 1],
  ],
  '4': [
    [-1, -1],
    [-1, 1],
    [1, -1],
    [1, 1],
  ],
  '5': [
    [-1, -1],
    [-1, 1],
    [0, 0],
    [1, -1],
    [1, 1],
  ],
  '6': [
    [-1, -1],
    [-1, 0],
    [-1, 1],
    [1, -1],
    [1, 0],
    [1, 1],
  ],
};

/** Pips of one size; the square of the outer ones is one height wide. */
export function setPips(count: number, radius: number, mirrored: boolean): Printed {
  const places = PIPS[count]!.map(([x, y]) => [(mirrored ? -x : x) / 2, y / 2] as const);
  return {
    print: (x, y) => Math.max(...places.map(([a, b]) => radius - Math.hypot(x - a, y - b))),
    half: [0.5, 0.5],
  };
}

/** A sign that is no number: a letter, a star, a polygon, a ring with a bar, or strokes. */
export function someSign(setting: Setting, random: Random): Printed {
  const kind = random();
  if (kind < 0.4) return setNumber(LETTERS[Math.floor(random() * LETTERS.length)]!, setting, false);
  if (kind < 0.65) {
    const points = 3 + Math.floor(random() * 6);
    const inner = 0.35 + 0.65 * random();
    const hollow = random() < 0.4 ? 0.06 + 0.06 * random() : 1;
    const from = random() * 6.3;
    return {
      print: (x, y) => {
        const turn = (((Math.atan2(y, x) + from) * points) / Math.PI) % 2;
        const t = Math.abs(turn < 0 ? turn + 1 : turn - 1);
        const d = 0.5 * (inner + (1 - inner) * t) - Math.hypot(x, y);
        return Math.min(d, hollow - d);
      },
      half: [0.5, 0.5],
    };
  }
  const strokes = Array.from({ length: 3 + Math.floor(random() * 4) }, () =>
    Array.from({ length: 4 }, () => random() - 0.5),
  );
  const thick = 0.04 + 0.06 * random();
  return {
    print: (x, y) => {
      let near = 1;
      for (const [ax, ay, bx, by] of strokes as [number, number, number, number][]) {
        const dx = bx - ax;
        const dy = by - ay;
        const t = Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy)));
        near = Math.min(near, Math.hypot(x - ax - t * dx, y - ay - t * dy));
      }
      return thick - near;
    },
    half: [0.5, 0.5],
  };
}
