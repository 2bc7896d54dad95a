import type { DieKind } from '../../geometry/solid.ts';
import { CLASS_AT, CLASSES, KIND_LABELS, KIND_TURNS, LEARNT_SHARES, NUMBER_CLASSES } from './classes.ts';
import { classLogs } from './forward.ts';
import { PATCH_VALUES, type Layer } from './net.ts';
import { plainMark, type PlainMark } from './plain-mark.ts';
import { printWindow, turnedPatch, wideWindow } from './patch.ts';
import { unpackedLayers, type WeightsFile } from './weights.ts';
import weights from './weights.json' with { type: 'json' };
import { GRID_REACH } from './grid.ts';
import { faceGrid, type FaceGrid, type FacePixels, type Window } from './window.ts';

/**
 * Share of readings that are taken for worthless whatever the net says: print unlike any that it was trained on, a smear, a wrong pose.
 * No label of a face can fall further than this below the others, so that one face never decides against many.
 */
export const MISREAD = 0.003;

/** A number stands on the face as a whole, or near one of a d4's corners. */
export interface Reading {
  /** What may stand there, in the order of `logs`. */
  readonly labels: readonly string[];
  /** Turns at which it may stand: turn `t` is `t * 360 / turns` degrees counter-clockwise from the picture's up. */
  readonly turns: number;
  /**
   * Logarithm of the chance of each label at each turn, [labels x turns], all of them, `other` and `blank` being equally likely beforehand:
   * the likelihood but for a constant. Pips and signs that look alike at several turns share theirs among them.
   */
  readonly logs: Float64Array;
  /** The same for each label at any turn. */
  readonly labelLogs: Float64Array;
  /** A sign that is no number. */
  readonly other: number;
  /** Nothing at all. */
  readonly blank: number;
  /** On a d6: the logs of each label at any turn as a figure, and as pips; else null. */
  readonly figureLogs: Float64Array | null;
  readonly pipLogs: Float64Array | null;
}

/** What stands on a face. */
export interface FaceReading extends Reading {
  /** Near each corner of a d4's face, counter-clockwise from up: numbers whose top points to the corner (turn 0) or away from it; else null. */
  readonly corners: readonly Reading[] | null;
}

let net: { layers: readonly Layer[]; temperature: number } | undefined;

function reader(): { layers: readonly Layer[]; temperature: number } {
  const file: WeightsFile = weights;
  return (net ??= { layers: unpackedLayers(file), temperature: file.temperature });
}

/**
 * What stands on a face looked at straight on. Takes about 0.4 ms for each turn of its kind.
 *
 * @returns null where the face shows too few pixels to look at.
 */
export function readFace(face: FacePixels, kind: DieKind): FaceReading | null {
  const grid = faceGrid(face, kind);
  if (!grid) return null;
  const turns = KIND_TURNS[kind];
  const angles = Array.from({ length: turns }, (_, t) => (360 * t) / turns);
  const look = (trust?: number): Reading =>
    reading(grid, KIND_LABELS[kind], angles, kind === 'd6' || kind === 'd4', trust);
  // A kite has no middle that print would keep to.
  const [first, second] = kind === 'd10' ? [1, undefined] : [undefined, 1];
  const once = look(first);
  const whole = likeliest(once).chance > WINDOWS.plain ? once : averaged(once, look(second));
  return { ...whole, corners: kind === 'd4' ? cornerReadings(face) : null };
}

/** Print is looked for in two windows: drawn to the face's middle, and where it is seen. */
const WINDOWS = {
  /** Chance of the likeliest label from which there is no second one. */
  plain: 0.9,
  /** One counts by how sure it is: the square of 1 over what it leaves to others, this much added. */
  unsure: 0.2,
} as const;

/** Either window may be the good one: chances averaged, the surer one's counting for more. */
function averaged(a: Reading, b: Reading): Reading {
  const [p, q] = [a, b].map((r) => (1 - likeliest(r).chance + WINDOWS.unsure) ** -2) as [number, number];
  const [first, second] = [Math.log(p / (p + q)), Math.log(q / (p + q))];
  const mean = (x: number, y: number): number => logSum([x + first, y + second]);
  const both = <T extends Float64Array | null>(p: T, q: T): T => (p && q ? p.map((l, k) => mean(l, q[k]!)) : null) as T;
  return {
    ...a,
    logs: both(a.logs, b.logs),
    labelLogs: both(a.labelLogs, b.labelLogs),
    figureLogs: both(a.figureLogs, b.figureLogs),
    pipLogs: both(a.pipLogs, b.pipLogs),
    other: mean(a.other, b.other),
    blank: mean(a.blank, b.blank),
  };
}

/** How far from a d4's middle the numbers near its corners are looked for, and how far around, in face radii. */
const CORNER = { out: 0.85, reach: 0.72 } as const;

function cornerReadings(face: FacePixels): Reading[] {
  return [0, 1, 2].map((k) => {
    const angle = (2 * Math.PI * k) / 3;
    const at = [-CORNER.out * Math.sin(angle), -CORNER.out * Math.cos(angle)] as const;
    const grid = faceGrid(face, 'd4', CORNER.reach * GRID_REACH, at)!;
    return reading(grid, KIND_LABELS.d4, [120 * k, 120 * k + 180], false);
  });
}

function reading(
  grid: FaceGrid,
  labels: readonly string[],
  angles: readonly number[],
  pips: boolean,
  trust?: number,
): Reading {
  const told = lookedAt(grid, printWindow(grid, trust), angles);
  const whole = pips && labels.length === 6 ? lookedAt(grid, wideWindow(grid), angles) : null;
  const mark = whole ? plainMark(grid) : null;
  const figures = labels.map((label) =>
    told.map((t, k) => t[CLASS_AT.get(label)!]! + plainOne(label, mark, angles[k]!)),
  );
  const disc = mark?.form === 'disc' ? PLAIN : 0;
  const spots = pips ? labels.map((label) => pipsLog(label, told, whole) + (label === '1' ? disc : 0)) : null;
  const [other, blank] = (['other', 'blank'] as const).map((name) => over(told, name) - oftenerLearnt(name));
  return robust(labels, figures, spots, whole !== null, other!, blank!);
}

/** What one bar and nothing else adds to a 1 at a turn, degrees. */
const plainOne = (label: string, mark: PlainMark | null, angle: number): number =>
  label === '1' &&
  mark?.form === 'bar' &&
  Math.abs(Math.sin(mark.turn - (angle * Math.PI) / 180)) < Math.sin(Math.PI / 8)
    ? PLAIN
    : 0;

/** Per turn the log of each class's odds against `turned`. */
type Told = readonly Float64Array[];

function lookedAt(grid: FaceGrid, window: Window, angles: readonly number[]): Told {
  const { layers, temperature } = reader();
  const patches = new Float32Array(angles.length * PATCH_VALUES);
  angles.forEach((angle, k) => {
    turnedPatch(grid, window, angle, patches, k * PATCH_VALUES);
  });
  const turned = CLASS_AT.get('turned')!;
  return classLogs(layers, patches).map((logs) => logs.map((l) => (l - logs[turned]!) / temperature));
}

/** Log of how much oftener signs, or nothing at all, are learnt than one number upright. */
function oftenerLearnt(name: 'other' | 'blank'): number {
  const { blank, other, pips, upright } = LEARNT_SHARES;
  return Math.log((LEARNT_SHARES[name] * NUMBER_CLASSES) / ((1 - blank - other - pips) * upright));
}

/** A class that looks alike at any turn: the mean over the turns. */
const over = (told: Told, name: string): number =>
  logSum(told.map((t) => t[CLASS_AT.get(name)!]!)) - Math.log(told.length);

/**
 * Log of the odds of so many pips. Those of a face stand far apart, and a window drawn round one that keeps more of its ink than the rest
 * shows a 1: so two and more are told from the whole face, and one only as far as the whole face does not show more.
 */
function pipsLog(label: string, told: Told, whole: Told | null): number {
  if (!CLASS_AT.has(`pips ${label}`)) return -Infinity;
  if (!whole) return over(told, `pips ${label}`);
  if (label !== '1') return over(whole, `pips ${label}`);
  const all = logSum(CLASSES.map((name) => over(whole, name)));
  const more = logSum(['2', '3', '4', '5', '6'].map((n) => over(whole, `pips ${n}`)));
  return over(told, 'pips 1') + Math.log(Math.max(LONE, 1 - Math.exp(more - all)));
}

/** The least that is left of a 1 where the whole face shows more pips. */
const LONE = 1e-5;

/**
 * Log of how much likelier a 1 is made by one plain mark and nothing else on a d6's face: a bar or a disc is all that a net sees of it, and it
 * is never sure of that.
 */
const PLAIN = 8;

/**
 * Chances from what the net says, none of them below what a worthless reading leaves.
 *
 * @param figures Per label and turn.
 * @param spots   Per label as pips, alike at any turn; null where there can be none.
 * @param apart   Whether figures and pips are told apart.
 */
function robust(
  labels: readonly string[],
  figures: readonly (readonly number[])[],
  spots: readonly number[] | null,
  apart: boolean,
  other: number,
  blank: number,
): Reading {
  const turns = figures[0]!.length;
  const spot = (k: number): number => (spots ? spots[k]! - Math.log(turns) : -Infinity);
  const raw = figures.flatMap((row, k) => row.map((l) => logSum([l, spot(k)])));
  const norm = logSum([...raw, other, blank]);
  const floor = MISREAD / (labels.length + 2);
  const mixed = (log: number, share: number): number => Math.log((1 - MISREAD) * Math.exp(log - norm) + floor * share);
  const logs = Float64Array.from(raw, (l) => mixed(l, 1 / turns));
  return {
    ...{ labels, turns, logs, other: mixed(other, 1), blank: mixed(blank, 1) },
    labelLogs: Float64Array.from(labels, (_, k) => logSum(Array.from(logs.subarray(k * turns, (k + 1) * turns)))),
    figureLogs: apart ? Float64Array.from(figures, (row) => mixed(logSum(row), 1)) : null,
    pipLogs: apart && spots ? Float64Array.from(spots, (l) => mixed(l, 1)) : null,
  };
}

/** log of the sum of exponentials. */
function logSum(logs: readonly number[]): number {
  const top = Math.max(...logs);
  return top === -Infinity ? top : top + Math.log(logs.reduce((s, l) => s + Math.exp(l - top), 0));
}

/** The likeliest label of a reading and its chance, `other` and `blank` among them. */
export function likeliest(read: Reading): { readonly label: string; readonly chance: number } {
  const names = [...read.labels, CLASSES[CLASS_AT.get('other')!]!, CLASSES[CLASS_AT.get('blank')!]!];
  const logs = [...read.labelLogs, read.other, read.blank];
  const best = logs.indexOf(Math.max(...logs));
  return { label: names[best]!, chance: Math.exp(logs[best]!) };
}
