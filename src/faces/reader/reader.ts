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
  // A kite has no middle that print would keep to.
  const [first, second] = kind === 'd10' ? [1, undefined] : [undefined, 1];
  const once = wholeReading(grid, kind, first);
  const whole = likeliest(once).chance > WINDOWS.plain ? once : averaged(once, wholeReading(grid, kind, second));
  return { ...whole, corners: kind === 'd4' ? cornerReadings(face) : null };
}

function wholeReading(grid: FaceGrid, kind: DieKind, trust?: number): Reading {
  const turns = KIND_TURNS[kind];
  const angles: number[] = [];
  for (let t = 0; t < turns; t++) angles.push((360 * t) / turns);
  return reading(grid, KIND_LABELS[kind], angles, kind === 'd6' || kind === 'd4', trust);
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
  const p = (1 - likeliest(a).chance + WINDOWS.unsure) ** -2;
  const q = (1 - likeliest(b).chance + WINDOWS.unsure) ** -2;
  const [first, second] = [Math.log(p / (p + q)), Math.log(q / (p + q))];
  return {
    ...a,
    logs: meanLogs(a.logs, first, b.logs, second),
    labelLogs: meanLogs(a.labelLogs, first, b.labelLogs, second),
    figureLogs: a.figureLogs && b.figureLogs && meanLogs(a.figureLogs, first, b.figureLogs, second),
    pipLogs: a.pipLogs && b.pipLogs && meanLogs(a.pipLogs, first, b.pipLogs, second),
    other: logSum2(a.other + first, b.other + second),
    blank: logSum2(a.blank + first, b.blank + second),
  };
}

/** Logs of chances that count by shares, whose logs are given. */
function meanLogs(a: Float64Array, first: number, b: Float64Array, second: number): Float64Array {
  const out = new Float64Array(a.length);
  for (let k = 0; k < out.length; k++) out[k] = logSum2(a[k]! + first, b[k]! + second);
  return out;
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
  const turns = angles.length;
  const figures = new Float64Array(labels.length * turns);
  const spots = pips ? new Float64Array(labels.length) : null;
  for (let l = 0, at = 0; l < labels.length; l++) {
    const c = CLASS_AT.get(labels[l]!)!;
    const one = labels[l] === '1' ? mark : null;
    for (let k = 0; k < turns; k++) figures[at++] = told[k]![c]! + (isAlong(one, angles[k]!) ? PLAIN : 0);
    if (spots) spots[l] = pipsLog(labels[l]!, told, whole) + (one?.form === 'disc' ? PLAIN : 0);
  }
  const other = over(told, 'other') - oftenerLearnt('other');
  const blank = over(told, 'blank') - oftenerLearnt('blank');
  return robust(labels, figures, spots, whole !== null, other, blank);
}

/** Whether a mark is a bar that stands upright at a turn, degrees. */
const isAlong = (mark: PlainMark | null, angle: number): boolean =>
  mark?.form === 'bar' && Math.abs(Math.sin(mark.turn - (angle * Math.PI) / 180)) < Math.sin(Math.PI / 8);

/** Per turn the log of each class's odds against `turned`. */
type Told = readonly Float64Array[];

/** Kept for the next look. */
let room = new Float32Array(0);

function lookedAt(grid: FaceGrid, window: Window, angles: readonly number[]): Told {
  const { layers, temperature } = reader();
  const length = angles.length * PATCH_VALUES;
  if (room.length < length) room = new Float32Array(length);
  for (let k = 0; k < angles.length; k++) turnedPatch(grid, window, angles[k]!, room, k * PATCH_VALUES);
  const told = classLogs(layers, room.subarray(0, length));
  for (const logs of told) {
    const turned = logs[TURNED]!;
    for (let c = 0; c < logs.length; c++) logs[c] = (logs[c]! - turned) / temperature;
  }
  return told;
}

const TURNED = CLASS_AT.get('turned')!;

/** Log of how much oftener signs, or nothing at all, are learnt than one number upright. */
function oftenerLearnt(name: 'other' | 'blank'): number {
  const { blank, other, pips, upright } = LEARNT_SHARES;
  return Math.log((LEARNT_SHARES[name] * NUMBER_CLASSES) / ((1 - blank - other - pips) * upright));
}

/** A class that looks alike at any turn: the mean over the turns. */
function over(told: Told, name: string): number {
  const c = CLASS_AT.get(name)!;
  const logs: number[] = [];
  for (const t of told) logs.push(t[c]!);
  return logSum(logs) - Math.log(told.length);
}

/**
 * Log of the odds of so many pips. Those of a face stand far apart, and a window drawn round one that keeps more of its ink than the rest
 * shows a 1: so two and more are told from the whole face, and one only as far as the whole face does not show more.
 */
function pipsLog(label: string, told: Told, whole: Told | null): number {
  if (!CLASS_AT.has(`pips ${label}`)) return -Infinity;
  if (!whole) return over(told, `pips ${label}`);
  if (label !== '1') return over(whole, `pips ${label}`);
  const all = logSum(CLASSES.map((name) => over(whole, name)));
  const more = logSum(MORE_PIPS.map((name) => over(whole, name)));
  return over(told, 'pips 1') + Math.log(Math.max(LONE, 1 - Math.exp(more - all)));
}

const MORE_PIPS = ['pips 2', 'pips 3', 'pips 4', 'pips 5', 'pips 6'] as const;
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
 * @param figures Per label and turn, [labels x turns].
 * @param spots   Per label as pips, alike at any turn; null where there can be none.
 * @param apart   Whether figures and pips are told apart.
 */
function robust(
  labels: readonly string[],
  figures: Float64Array,
  spots: Float64Array | null,
  apart: boolean,
  other: number,
  blank: number,
): Reading {
  const turns = figures.length / labels.length;
  const raw = new Float64Array(figures.length + 2);
  for (let k = 0; k < figures.length; k++)
    raw[k] = spots ? logSum2(figures[k]!, spots[Math.floor(k / turns)]! - Math.log(turns)) : figures[k]!;
  raw[figures.length] = other;
  raw[figures.length + 1] = blank;
  const norm = logSum(raw);
  const floor = MISREAD / (labels.length + 2);
  const logs = new Float64Array(figures.length);
  for (let k = 0; k < logs.length; k++) logs[k] = mixed(raw[k]! - norm, floor * (1 / turns));
  const labelLogs = new Float64Array(labels.length);
  const figureLogs = apart ? new Float64Array(labels.length) : null;
  const pipLogs = apart && spots ? new Float64Array(labels.length) : null;
  for (let l = 0; l < labels.length; l++) {
    labelLogs[l] = logSum(logs, l * turns, (l + 1) * turns);
    if (figureLogs) figureLogs[l] = mixed(logSum(figures, l * turns, (l + 1) * turns) - norm, floor);
    if (pipLogs) pipLogs[l] = mixed(spots![l]! - norm, floor);
  }
  return {
    ...{ labels, turns, logs, other: mixed(other - norm, floor), blank: mixed(blank - norm, floor) },
    ...{ labelLogs, figureLogs, pipLogs },
  };
}

/** Log of a chance of which a share is worthless. */
const mixed = (log: number, worthless: number): number => Math.log((1 - MISREAD) * Math.exp(log) + worthless);

/** log of the sum of exponentials of some of a list. */
function logSum(logs: ArrayLike<number>, from = 0, to = logs.length): number {
  let top = -Infinity;
  for (let k = from; k < to; k++) if (logs[k]! > top) top = logs[k]!;
  if (top === -Infinity) return top;
  let sum = 0;
  for (let k = from; k < to; k++) sum += Math.exp(logs[k]! - top);
  return top + Math.log(sum);
}

/** The same of two. */
function logSum2(a: number, b: number): number {
  const top = Math.max(a, b);
  return top === -Infinity ? top : top + Math.log(Math.exp(a - top) + Math.exp(b - top));
}

/** The likeliest label of a reading and its chance, `other` and `blank` among them. */
export function likeliest(read: Reading): { readonly label: string; readonly chance: number } {
  const names = [...read.labels, CLASSES[CLASS_AT.get('other')!]!, CLASSES[CLASS_AT.get('blank')!]!];
  const logs = [...read.labelLogs, read.other, read.blank];
  const best = logs.indexOf(Math.max(...logs));
  return { label: names[best]!, chance: Math.exp(logs[best]!) };
}
