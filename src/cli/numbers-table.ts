import { printOf } from '../faces/numberings.ts';
import type { NumbersTable } from '../measure/measure.ts';
import { withNumbers } from '../measure/result-json.ts';

/** Which numbers are up, for reading in a terminal. */
export function numbersTable({ set, photos }: NumbersTable): string {
  const named = set.numberingFrom === 'usual' ? 'usual numbering' : `numbering: ${set.numberingFrom}`;
  const lines = [
    `${set.kind} (${set.kindFrom}), ${named}${set.tens ? ', printed in tens (the result calls 80 by 8)' : ''}`,
    '',
  ];
  lines.push('photo                    up   front   from        chance that it is wrong');
  for (const p of photos) {
    const chance = p.numbersChance === undefined || p.numbersChance === null ? '-' : p.numbersChance.toExponential(0);
    const shown = (label: string): string => (label === '' ? '?' : printOf(label, set.tens));
    lines.push(
      `${p.photo.padEnd(22)} ${shown(p.up).padStart(4)} ${shown(p.front).padStart(7)}   ${(p.numbersFrom ?? 'unknown').padEnd(10)}  ${chance}`,
    );
    if (p.remark !== null) lines.push(`  ${p.remark}`);
  }
  return `${lines.join('\n')}\n`;
}

/** The same as JSON. */
export function numbersJson({ set, photos }: NumbersTable): string {
  const { kind, kindFrom, numbering, numberingFrom, tens } = set;
  const short = photos.map(({ photo, up, front, numbersFrom, numbersChance, status, code, remark, notes }) => ({
    ...{ photo, up, front, status, code, remark, notes },
    ...(numbersFrom === undefined ? {} : { numbersFrom, numbersChance: numbersChance ?? null }),
  }));
  const about = { format: 'evencast-numbers/1', die: { kind, from: kindFrom }, numbering, numberingFrom, tens };
  return `${JSON.stringify(withNumbers({ ...about, photos: short }), null, 1)}\n`;
}
