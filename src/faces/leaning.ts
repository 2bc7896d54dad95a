import type { DieKind } from '../geometry/solid.ts';
import { FACE_TURNS } from './face-frame.ts';
import { softmax } from './joint.ts';
import type { LabelReading, SlotReading } from './readings.ts';

export const LEANING = {
  /** Chance that the numbers of a die do not all stand alike on their faces (common practice, no published source: they do, tops to a corner or to an edge). */
  none: 0.1,
  /** Chance that is left to each label of a face, whatever its turn says. */
  least: 1e-4,
} as const;

/**
 * A set's readings as they are once it is asked how its die's numbers stand on their faces: all tops point to a corner, or all to an edge
 * (on a kite to one of four sides). A number read with its top elsewhere is no number of that die, and a 6 is no 9.
 *
 * All faces of all photos say how the numbers stand; where that stays open, each face counts by what is left of either. Faces are seen again
 * from photo to photo and misread alike, so that what they say of it counts as its root by the number of photos.
 */
export function leant(kind: DieKind, readings: readonly (readonly SlotReading[])[]): SlotReading[][] {
  const folded = readings.map((list) => list.map(({ reading }) => byLeaning(kind, reading)));
  const classes = folded.flat()[0]?.length ?? 1;
  if (classes < 2) return readings.map((list) => [...list]);
  const logs: number[] = [];
  for (let p = 0; p < classes; p++) {
    let sum = 0;
    for (const list of folded) for (const f of list) sum += f ? Math.log(total(f[p]!) * classes + rest(f)) : 0;
    logs.push(Math.log((1 - LEANING.none) / classes) + sum / Math.sqrt(readings.length));
  }
  const chances = softmax(Float64Array.of(...logs, Math.log(LEANING.none)));
  return readings.map((list, i) =>
    list.map((r, k) => {
      const f = folded[i]![k];
      return f ? { ...r, reading: { ...r.reading, labelLogs: told(r.reading, f, chances) } } : r;
    }),
  );
}

/** Chances of a face's labels by how its print stands, [class][label]; null where nothing is known of that. */
function byLeaning(kind: DieKind, { labels, logs, turns }: LabelReading): number[][] | null {
  if (!logs || !turns) return null;
  const classes = turns / FACE_TURNS[kind];
  const out: number[][] = [];
  for (let p = 0; p < classes; p++) {
    const list: number[] = [];
    for (let l = 0; l < labels.length; l++) {
      let sum = 0;
      for (let t = p; t < turns; t += classes) sum += Math.exp(logs[l * turns + t]!);
      list.push(sum);
    }
    out.push(list);
  }
  return out;
}

function total(list: readonly number[]): number {
  let sum = 0;
  for (const v of list) sum += v;
  return sum;
}

/** What a face leaves to signs and to nothing. */
function rest(f: readonly (readonly number[])[]): number {
  let sum = 0;
  for (const list of f) sum += total(list);
  return Math.max(0, 1 - sum);
}

/** Logs of a face's labels where its die's numbers stand in each class with such a chance, the last being that they stand anyhow. */
function told({ labels }: LabelReading, f: readonly (readonly number[])[], chances: Float64Array): number[] {
  const classes = f.length;
  const parts: number[] = [];
  for (let l = 0; l < labels.length; l++) {
    let part = 0;
    for (let p = 0; p < classes; p++) part += (classes * chances[p]! + chances[classes]!) * f[p]![l]!;
    parts.push(part);
  }
  const sum = total(parts) + rest(f);
  for (let l = 0; l < parts.length; l++) parts[l] = Math.log(Math.max(LEANING.least, parts[l]! / sum));
  return parts;
}
