/** Patches with their class, drawn at random: what the net learns from. */
import { CLASS_AT, CLASSES } from '../../src/faces/reader/classes.ts';
import { PATCH } from '../../src/faces/reader/net.ts';
import { printWindow, turnedPatch } from '../../src/faces/reader/patch.ts';
import { faceGrid } from '../../src/faces/reader/window.ts';
import { DIE_KINDS, type DieKind } from '../../src/geometry/solid.ts';
import type { Random } from '../../src/maths/random.ts';
import type { Fount } from './founts.ts';
import { setNumber, setPips, someSetting, someSign, type Printed } from './print.ts';
import { photographed, someLook, someShot, type Look, type Place, type Shot } from './scene.ts';

const SIDES = { d4: 3, d6: 4, d8: 3, d10: 'kite', d12: 5, d20: 3 } as const;
const RAD = Math.PI / 180;

/** Print on a face of a kind: as high as will fit, near the middle. */
export function somePlace(random: Random, kind: DieKind, print: Printed, turn: number): Place {
  const corner = Math.hypot(print.half[0], print.half[1]);
  const most = { d4: 0.62, d6: 0.85, d8: 0.72, d10: 0.72, d12: 0.8, d20: 0.84 }[kind];
  const height = Math.min(1.25, (most / corner) * (1 - 0.5 * random() ** 1.5));
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
  const setting = someSetting(founts, random);
  const u = random();
  if (u < 0.04) return { label: 'blank', print: null };
  if (u < 0.12) return { label: 'other', print: someSign(setting, random) };
  if (u < 0.26) {
    const count = 1 + Math.floor(6 * random());
    return { label: `pips ${count}`, print: setPips(count, 0.09 + 0.13 * random(), random() < 0.5) };
  }
  const label = CLASSES[Math.floor(random() * 29)]!;
  const six = /[69]/.test(label);
  const marked = label === '6' || label === '9' ? random() < 0.85 : six && random() < 0.25;
  return { label, print: setNumber(label, setting, marked) };
}

/** How far print may stand off the turn that is looked at and still counts as upright, and from where on it counts as turned; degrees. */
export const UPRIGHT = { off: 13, turned: 34 } as const;

/** A batch: patches one after another and the class of each. Four patches are taken of each face, the second turned away, the third and fourth sometimes. */
export function batch(random: Random, founts: readonly Fount[], count: number, patches: Float32Array, classes: Uint8Array): void {
  let n = 0;
  while (n < count) {
    const kind = DIE_KINDS[Math.floor(random() * 6)]!;
    const content = someContent(random, founts);
    const { grid, turn } = someFace(random, kind, content, someLook(random), someShot(random));
    if (!grid) continue;
    const window = printWindow(grid);
    for (let k = 0; k < 4 && n < count; k++) {
      let label = content.label;
      let look = turn + UPRIGHT.off * (2 * random() - 1);
      if (label.startsWith('pips')) look += 90 * Math.floor(4 * random()) + (random() < 0.1 ? 45 : 0);
      else if (label === 'other' || label === 'blank') look += 360 * random();
      else if (k === 1 || (k > 1 && random() < 0.25)) {
        label = 'turned';
        look = turn + UPRIGHT.turned + (360 - 2 * UPRIGHT.turned) * random();
      }
      turnedPatch(grid, window, look, patches, n * PATCH * PATCH);
      classes[n++] = CLASS_AT.get(label)!;
    }
  }
}

/** A face as the reader gets it, and the turn of its print, degrees counter-clockwise. */
function someFace(random: Random, kind: DieKind, content: Content, look: Look, shot: Shot) {
  const turn = 360 * random();
  const print = content.print;
  const place = print
    ? somePlace(random, kind, print, turn * RAD)
    : { height: 1, x: 0, y: 0, turn: 0 };
  const span = Math.min(44, Math.max(20, shot.radius));
  const face = photographed(random, look, shot, print, place, SIDES[kind], span);
  return { grid: faceGrid(face, kind), turn };
}
