import { expect, test } from 'vitest';
import { LEANING, leant } from '../src/faces/leaning.ts';
import type { LabelReading, SlotReading } from '../src/faces/readings.ts';

const LABELS = ['6', '9', '12'];
const TURNS = 6;

/** A d20's face on which a label stands at a turn with such a chance; the rest is spread evenly. */
function face(slot: number, seen: readonly (readonly [label: string, turn: number, chance: number])[]): SlotReading {
  const left = 1 - seen.reduce((s, [, , chance]) => s + chance, 0.01);
  const chances = LABELS.flatMap(() => Array.from({ length: TURNS }, () => left / (LABELS.length * TURNS)));
  for (const [label, turn, chance] of seen) chances[LABELS.indexOf(label) * TURNS + turn]! += chance;
  const labelLogs = LABELS.map((_, l) =>
    Math.log(chances.slice(l * TURNS, (l + 1) * TURNS).reduce((s, v) => s + v, 0)),
  );
  const reading: LabelReading = {
    labels: LABELS,
    labelLogs,
    logs: chances.map(Math.log),
    turns: TURNS,
    other: Math.log(0.01),
  };
  return { slot, reading, weight: 1 };
}

const chanceOf = ({ reading }: SlotReading, label: string): number =>
  Math.exp(reading.labelLogs[LABELS.indexOf(label)]!);

/** A 6 with its top to a corner, or a 9 with its top to an edge: six of a d20's turns, every other one to a corner. */
const either = face(0, [
  ['6', 2, 0.45],
  ['9', 5, 0.45],
]);

test('a 6 is told from a 9 by how the other numbers of its die stand', () => {
  const corners = [1, 2, 3].map((slot) => face(slot, [['12', 2 * slot - 2, 0.9]]));
  const edges = [1, 2, 3].map((slot) => face(slot, [['12', 2 * slot - 1, 0.9]]));
  expect(chanceOf(leant('d20', [[either, ...corners]])[0]![0]!, '6')).toBeGreaterThan(0.8);
  expect(chanceOf(leant('d20', [[either, ...edges]])[0]![0]!, '9')).toBeGreaterThan(0.8);
});

test('a face by itself, and numbers that stand anyhow, leave it open', () => {
  const [six, nine] = ['6', '9'].map((l) => chanceOf(leant('d20', [[either]])[0]![0]!, l));
  expect(six! / nine!).toBeCloseTo(1, 6);
  const anyhow = [0, 1, 2, 3, 4, 5].map((turn) => face(turn + 1, [['12', turn, 0.9]]));
  const [open, other] = ['6', '9'].map((l) => chanceOf(leant('d20', [[either, ...anyhow]])[0]![0]!, l));
  expect(open! / other!).toBeCloseTo(1, 6);
});

test('a plain face that stands against all others keeps its number', () => {
  const corners = [1, 2, 3, 4, 5, 6].map((slot) => face(slot, [['12', (2 * slot) % 6, 0.9]]));
  const turned = face(0, [['9', 5, 0.98]]);
  expect(chanceOf(leant('d20', [[turned, ...corners]])[0]![0]!, '9')).toBeGreaterThan(0.4);
});

test('the same face in several photos counts as the root of their number', () => {
  const one = face(1, [['12', 0, 0.6]]);
  const odds = (photos: SlotReading[][]): number => {
    const [first] = leant('d20', photos)[0]!;
    return Math.log(chanceOf(first!, '6') / chanceOf(first!, '9'));
  };
  const once = odds([[either, one]]);
  const four = odds([[either, one], [one], [one], [one]]);
  expect(four).toBeGreaterThan(once);
  expect(four).toBeLessThan(2.6 * once);
});

test('chances stay chances; a reader that tells no turns, and a d6, are left as they are', () => {
  const [told] = leant('d20', [[either, face(1, [['12', 0, 0.9]])]]);
  for (const r of told!) {
    const all = LABELS.reduce((s, l) => s + chanceOf(r, l), Math.exp(r.reading.other));
    expect(all).toBeLessThan(1.02);
    expect(all).toBeGreaterThan(0.95);
    for (const l of LABELS) expect(chanceOf(r, l)).toBeGreaterThanOrEqual(LEANING.least * 0.999);
  }
  const plain: SlotReading = { slot: 0, weight: 1, reading: { labels: LABELS, labelLogs: [-1, -2, -3], other: -4 } };
  expect(leant('d20', [[plain]])).toEqual([[plain]]);
});
