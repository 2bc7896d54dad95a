/** Patches with their class, drawn at random: what the net learns from. */
import { CLASS_AT, CLASSES, LEARNT_SHARES, NUMBER_CLASSES } from '../../src/faces/reader/classes.ts';
import { PATCH_VALUES } from '../../src/faces/reader/net.ts';
import { printWindow, turnedPatch, wideWindow } from '../../src/faces/reader/patch.ts';
import { offSkin } from '../../src/faces/off-skin.ts';
import { withoutMainColour } from '../../src/faces/second-colour.ts';
import { faceGrid, type FaceGrid, type Window } from '../../src/faces/reader/window.ts';
import { DIE_KINDS, type DieKind } from '../../src/geometry/solid.ts';
import { seededNormal, type Random } from '../../src/maths/random.ts';
import type { Fount } from './founts.ts';
import { learntSetting, setNumber, setPips, someSign, type Printed } from './print.ts';
import { grooved, someLook, someShot, type Look, type Place, type Shot } from './looks.ts';
import { photographed } from './scene.ts';

export const SIDES = { d4: 3, d6: 4, d8: 3, d10: 'kite', d12: 5, d20: 3 } as const;
const RAD = Math.PI / 180;

/** Print on a face of a kind near its middle, `size` of the largest that fits. */
export function somePlace(
  random: Random,
  kind: DieKind,
  print: Printed,
  turn: number,
  size = 1 - 0.5 * random() ** 1.5,
): Place {
  const corner = Math.hypot(print.half[0], print.half[1]);
  const most = { d4: 0.62, d6: 0.85, d8: 0.72, d10: 0.72, d12: 0.8, d20: 0.84 }[kind];
  const height = Math.min(1.25, (most / corner) * size);
  const shift = kind === 'd10' ? 0.12 : 0.07;
  return { height, x: shift * (2 * random() - 1), y: shift * (2 * random() - 1) + (kind === 'd10' ? 0.1 : 0), turn };
}

/** What is on a face: its class, the print, and whether it looks the same at any quarter turn. */
interface Content {
  readonly label: string;
  readonly print: Printed | null;
}

/** One face's content drawn at random, classes about evenly. */
function someContent(random: Random, founts: readonly Fount[]): Content {
  const setting = learntSetting(founts, random);
  const u = random();
  const { blank, other, pips } = LEARNT_SHARES;
  if (u < blank) return { label: 'blank', print: null };
  if (u < blank + other) return { label: 'other', print: someSign(setting, random) };
  if (u < blank + other + pips) {
    const count = 1 + Math.floor(6 * random());
    return { label: `pips ${count}`, print: setPips(count, 0.09 + 0.13 * random(), random() < 0.5) };
  }
  const label = CLASSES[Math.floor(random() * NUMBER_CLASSES)]!;
  const six = /[69]/.test(label);
  const marked = label === '6' || label === '9' ? random() < 0.85 : six && random() < 0.25;
  return { label, print: setNumber(label, setting, marked) };
}

/** How far print may stand off the turn that is looked at and still counts as upright, and from where on it counts as turned; degrees. */
export const UPRIGHT = { off: 13, turned: 34 } as const;

/** Drawn faces kept, and how many of them make room for new ones before each batch: each is looked at some sixteen times, turned anew. */
export const POOL = { faces: 3000, fresh: 4 } as const;

export const LEARNT = {
  /** Share of faces that are worn, the most of their ink that is gone, and share of the worn ones whose print lies in grooves. */
  worn: 0.65,
  gone: 0.6,
  grooved: 0.85,
  /** How much further off the middle print may be, and share of second looks. */
  off: 0.05,
  again: 0.1,
  /** Most slant, degrees; the power of its squeeze by which a slanted face is photographed larger. */
  slant: 80,
  nearer: 0.7,
  /** Radius of a face in its photo, from and to, px, evenly by its logarithm; the largest that is drawn unslanted, and at any slant. */
  radius: [15, 115],
  drawn: 40,
  largest: 85,
  /** Share of a d6's faces that are looked at as a whole, bearing pips or a figure; and of a d10's whose print is taken to stand where it is seen. */
  wholePips: 0.5,
  wholeFigure: 0.2,
  asSeen: 0.5,
} as const;

/** A face as the reader gets it. */
interface Drawn {
  readonly label: string;
  /** Turn of its print, degrees counter-clockwise. */
  readonly turn: number;
  readonly grid: FaceGrid;
  readonly window: Window;
}

/** Patches with their classes, from faces drawn at random. */
export class Samples {
  readonly #random: Random;
  readonly #founts: readonly Fount[];
  readonly #pool: Drawn[] = [];
  #oldest = 0;

  constructor(random: Random, founts: readonly Fount[], faces: number = POOL.faces) {
    this.#random = random;
    this.#founts = founts;
    while (this.#pool.length < faces) this.#pool.push(this.#face());
  }

  /** Fills as many patches as there is room for classes; about four in ten stand turned away. */
  batch(patches: Float32Array, classes: Uint8Array): void {
    const random = this.#random;
    for (let k = 0; k < POOL.fresh; k++) this.#pool[this.#oldest++ % this.#pool.length] = this.#face();
    for (let k = 0; k < classes.length; k++) {
      const { label, turn, grid, window } = this.#pool[Math.floor(random() * this.#pool.length)]!;
      const [told, look] = this.#look(label, turn);
      const shift = (): number => 0.08 * window.half * (random() - 0.5);
      const moved = {
        ...window,
        x: window.x + shift(),
        y: window.y + shift(),
        half: window.half * (0.93 + 0.14 * random()),
      };
      turnedPatch(grid, moved, look, patches, k * PATCH_VALUES);
      classes[k] = CLASS_AT.get(told)!;
    }
  }

  /** The class of a face's print and where its top is taken to point. */
  #look(label: string, turn: number): readonly [label: string, look: number] {
    const random = this.#random;
    const upright = turn + UPRIGHT.off * (2 * random() - 1);
    if (label.startsWith('pips')) return [label, upright + 90 * Math.floor(4 * random()) + (random() < 0.1 ? 45 : 0)];
    if (label === 'other' || label === 'blank') return [label, 360 * random()];
    if (random() < LEARNT_SHARES.upright) return [label, upright];
    return ['turned', turn + UPRIGHT.turned + (360 - 2 * UPRIGHT.turned) * random()];
  }

  #face(): Drawn {
    const random = this.#random;
    const normal = seededNormal(random);
    for (;;) {
      const any = DIE_KINDS[Math.floor(random() * 6)]!;
      const { label, print } = someContent(random, this.#founts);
      const pips = label.startsWith('pips');
      const kind = pips ? 'd6' : any;
      const turn = 360 * random();
      const place = print ? somePlace(random, kind, print, turn * RAD) : { height: 1, x: 0, y: 0, turn: 0 };
      const moved = { ...place, x: place.x + LEARNT.off * normal(), y: place.y + LEARNT.off * normal() };
      const shot = learntShot(random);
      const span = Math.min(44, Math.max(20, shot.radius));
      const face = photographed(random, learntLook(random), shot, print, moved, SIDES[kind], span);
      const u = random();
      const again = u > LEARNT.again ? null : 2 * u < LEARNT.again ? offSkin(face) : withoutMainColour(face);
      const grid = faceGrid(again ?? face, kind);
      if (grid) return { label, turn, grid, window: someWindow(random, kind, pips, grid) };
    }
  }
}

/**
 * A shot as it is learnt from: faces as large as dice show them, slanted ones, which are seen well on large dice alone, larger. What is larger
 * than the net could see is drawn smaller, its noise, blur and loss less by as much: the same is left of them once the face is straightened.
 */
function learntShot(random: Random): Shot {
  const shot = someShot(random);
  const slant = LEARNT.slant * random();
  const nearer = Math.cos(slant * RAD) ** -LEARNT.nearer;
  const [least, most] = LEARNT.radius;
  const radius = least * (most / least) ** random() * Math.sqrt(nearer);
  const drawn = Math.min(radius, LEARNT.largest, LEARNT.drawn * nearer);
  const share = drawn / radius;
  const { blur, noise, loss } = shot;
  return {
    ...shot,
    slant,
    radius: drawn,
    blur: Math.max(0.35, blur * share),
    noise: noise * share,
    loss: loss * share,
  };
}

function learntLook(random: Random): Look {
  const look = { ...someLook(random), worn: random() < LEARNT.worn ? LEARNT.gone * random() : 0 };
  return look.worn > 0 && random() < LEARNT.grooved ? grooved(look, random) : look;
}

/** A window as the reader draws them for a kind. */
function someWindow(random: Random, kind: DieKind, pips: boolean, grid: FaceGrid): Window {
  if (kind === 'd6' && random() < (pips ? LEARNT.wholePips : LEARNT.wholeFigure)) return wideWindow(grid);
  return printWindow(grid, kind === 'd10' && random() < LEARNT.asSeen ? 1 : undefined);
}
