/** What dice look like and how photos of them are taken, drawn at random. */
import type { Random } from '../../src/maths/random.ts';

type Colour = readonly [number, number, number];

/** What a die looks like; all its faces share it. Colours are square roots of linear light, 0 to 1. */
export interface Look {
  readonly skin: Colour;
  readonly second: Colour;
  readonly ink: Colour;
  readonly texture: 'plain' | 'swirl' | 'speckled' | 'cloud';
  /** Share of the ink that is gone. */
  readonly worn: number;
  /** Shade along the ink's rims: depth of the cut. */
  readonly cut: number;
  /** Depth over width of the grooves that the ink fills; left out where print lies flat on the skin, and leaves nothing where it is gone. */
  readonly groove?: number;
  readonly speckles: number;
  readonly grain: number;
}

/** How a photo is taken. */
export interface Shot {
  /** Radius of the face seen straight on, px. */
  readonly radius: number;
  /** Between the face's normal and the view, degrees. */
  readonly slant: number;
  /** Direction of the slant on the face, radians. */
  readonly towards: number;
  /** Turn of the face in the photo, radians. */
  readonly turned: number;
  readonly blur: number;
  readonly noise: number;
  /** 0 none; else the step of the coarsest parts of 8 x 8 blocks. */
  readonly loss: number;
  readonly haze: number;
  readonly sheen: number;
}

/** Where the print stands: its height and offset in face radii, turn in radians counter-clockwise. */
export interface Place {
  readonly height: number;
  readonly x: number;
  readonly y: number;
  readonly turn: number;
}

/** The same colour, each channel lighter or darker by itself. */
function clouded([r, g, b]: Colour, random: Random): Colour {
  const channel = (v: number): number => Math.min(0.98, Math.max(0.02, v * (0.6 + 0.8 * random())));
  return [channel(r), channel(g), channel(b)];
}

/** A look drawn at random. */
export function someLook(random: Random): Look {
  const colour = (): Colour => {
    const grey = 0.06 + 0.88 * random();
    const vivid = random() < 0.3 ? 0 : 0.5 * random();
    const channel = (): number => Math.min(0.98, Math.max(0.03, grey + vivid * (2 * random() - 1)));
    return [channel(), channel(), channel()];
  };
  const apart = (a: Colour, b: Colour): number => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
  const t = random();
  const texture = t < 0.5 ? 'plain' : t < 0.67 ? 'swirl' : t < 0.84 ? 'speckled' : 'cloud';
  for (;;) {
    const skin = colour();
    const second = texture === 'cloud' ? clouded(skin, random) : colour();
    const u = random();
    const ink: Colour = u < 0.35 ? [0.9, 0.9, 0.88] : u < 0.6 ? [0.1, 0.1, 0.11] : colour();
    const least = texture === 'plain' || texture === 'cloud' ? 0.2 : 0.3;
    if (apart(skin, ink) < least) continue;
    if (texture === 'swirl' && apart(second, ink) < 0.22) continue;
    if (texture === 'cloud' && apart(second, ink) < 0.2) continue;
    const worn = random();
    return {
      skin,
      second,
      ink,
      texture,
      worn: worn < 0.5 ? 0 : worn < 0.8 ? 0.3 * random() : 0.55 * random(),
      cut: random() < 0.4 ? 0.35 * random() : 0,
      speckles: Math.floor(90 * random()),
      grain: 0.8 + 3 * random(),
    };
  }
}

/** Grooves of dice: depth over width, and shade along their rims, from and to. */
export const GROOVE = { depth: [0.1, 0.4], cut: [0.1, 0.35] } as const;

/**
 * The same with its print in grooves. Numbers and pips of dice are moulded, drilled or engraved and filled with ink (common practice, no
 * published source): where ink is gone the groove is still there, its walls shaded, its floor in part hidden from the light.
 */
export function grooved(look: Look, random: Random): Look {
  const between = ([from, to]: readonly [number, number]): number => from + (to - from) * random();
  return { ...look, groove: between(GROOVE.depth), cut: between(GROOVE.cut) };
}

/** Share of diffuse light that reaches the floor of a long groove: its view factor to the opening (Hottel's crossed strings, from memory). */
export const grooveLight = (depth: number): number => Math.hypot(1, depth) - depth;

/** A shot drawn at random, slants up to 72 degrees. */
export function someShot(random: Random): Shot {
  const radius = 14 * Math.exp(1.15 * random());
  return {
    radius,
    slant: 72 * random(),
    towards: 2 * Math.PI * random(),
    turned: 2 * Math.PI * random(),
    blur: 0.45 + 0.9 * random() * random() * Math.max(1, radius / 30),
    noise: 0.003 + 0.03 * random() ** 3,
    loss: random() < 0.5 ? 0 : 0.01 + 0.06 * random(),
    haze: random() < 0.5 ? 0 : 0.35 * random(),
    sheen: random() < 0.6 ? 0 : 0.5 * random(),
  };
}
