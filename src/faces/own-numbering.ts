import type { DieSolid } from '../geometry/solid.ts';
import { completedLabels, ownNumbering, type NumberingGuess } from './numberings.ts';
import { labelLog, type SlotReading } from './readings.ts';
import type { TurnTable } from './turn-table.ts';

export const OWN = {
  /** Lead over the numberings that are known beforehand from which faces are believed to bear one of their own, natural log. */
  lead: 22,
  /** Lead of the label read on a face over the next one, of each face that was read. */
  sure: 3,
} as const;

/**
 * The numbering that the faces themselves tell, where photos fit together by their looks alone.
 *
 * @param way    Way per photo by looks alone, any face having been taken for the first.
 * @param known  The best guess of those known beforehand and its log likelihood, on the same readings.
 */
export function learntNumbering(
  table: TurnTable,
  way: ArrayLike<number>,
  readings: readonly (readonly SlotReading[])[],
  known: { readonly guess: NumberingGuess; readonly logs: number },
): NumberingGuess | null {
  const { guess } = known;
  const { solid } = guess;
  const logs = faceLogs(table, way, readings, guess);
  const chosen = assigned(solid, logs);
  if (!chosen || chosen.logs < known.logs + OWN.lead) return null;
  const labels = completedLabels(solid, chosen.labels);
  return labels && ownNumbering(solid, labels, guess.tens, guess.pips);
}

/** Log likelihood of each label on each face, all photos together: per face, per label of the solid's order. Faces nobody read are null. */
export function faceLogs(
  { faces, face }: TurnTable,
  way: ArrayLike<number>,
  readings: readonly (readonly SlotReading[])[],
  guess: NumberingGuess,
): (Float64Array | null)[] {
  const out: (Float64Array | null)[] = Array.from({ length: faces }, () => null);
  const views = new Int32Array(faces);
  for (const [i, list] of readings.entries())
    for (const one of list) {
      const f = face[way[i]! * faces + one.slot]!;
      addLogs((out[f] ??= new Float64Array(faces)), one, guess);
      views[f]!++;
    }
  // Views of one face are misread alike: they count as the root of their number.
  return out.map((sum, f) => sum && sum.map((v) => v / Math.sqrt(views[f]!)));
}

function addLogs(sum: Float64Array, { reading, weight }: SlotReading, guess: NumberingGuess): void {
  const { labels } = guess.solid;
  for (let l = 0; l < labels.length; l++) sum[l]! += weight * labelLog(reading, labels[l]!, guess);
}

/** Log likelihood of a guess whose faces are turned by `turn`. */
export function guessLogs({ faces, face }: TurnTable, logs: readonly (Float64Array | null)[], turn: number): number {
  let sum = 0;
  for (let f = 0; f < logs.length; f++) sum += logs[f]?.[face[turn * faces + f]!] ?? 0;
  return sum;
}

/** Labels by their clearest lead, each once. Null where a face that was read stays open. */
function assigned(
  solid: DieSolid,
  logs: readonly (Float64Array | null)[],
): { readonly labels: readonly (string | null)[]; readonly logs: number } | null {
  const labels: (string | null)[] = logs.map(() => null);
  const taken = new Set<number>();
  let total = 0;
  const open = new Set(logs.flatMap((l, f) => (l === null ? [] : [f])));
  while (open.size > 0) {
    let [best, choice, most] = [-1, -1, -Infinity];
    for (const f of open) {
      // The clearest of the labels that are left, and how far it leads.
      let [first, next] = [-1, -1];
      for (let l = 0; l < solid.labels.length; l++) {
        if (taken.has(l)) continue;
        if (first < 0 || logs[f]![l]! > logs[f]![first]!) [first, next] = [l, first];
        else if (next < 0 || logs[f]![l]! > logs[f]![next]!) next = l;
      }
      const ahead = next < 0 ? Infinity : logs[f]![first]! - logs[f]![next]!;
      if (ahead > most) [best, choice, most] = [f, first, ahead];
    }
    if (most < OWN.sure) return null;
    labels[best] = solid.labels[choice]!;
    total += logs[best]![choice]!;
    taken.add(choice);
    open.delete(best);
  }
  return { labels, logs: total };
}
