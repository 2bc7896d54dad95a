import type { BinDie, BinResult, Verdict } from '../bin/types.ts';

const VERDICTS: Readonly<Record<Verdict, string>> = { keep: 'keep', 'look-again': 'look again', reject: 'REJECT' };
const AGAINST = { bin: 'the median of the bin', die: 'a measured die', typed: 'nominal values' } as const;

const quantity = (q: BinDie['size'], digits: number): string =>
  q ? `${q.value.toFixed(digits)} ± ${(2 * q.u).toFixed(digits)}` : '-';

/** How sure a verdict is; nothing here is certain, so no 100 %. */
const sure = (share: number | null): string =>
  share === null ? '-' : share > 0.995 ? '> 99 %' : `${(100 * share).toFixed(0)} %`;

const HEAD = ['photo', 'x mm', 'y mm', 'size mm', 'radius mm', 'departs mm', 'verdict', 'sure', 'reason'] as const;
/** Width of each column but the last; numbers stand at its right. */
const WIDTHS = [14, 6, 6, 14, 11, 13, 10, 6] as const;
const LEFT = new Set<number>([0, 6]);

function line(cells: readonly string[]): string {
  return cells
    .map((cell, i) => {
      const width = WIDTHS[i] ?? 0;
      return LEFT.has(i) ? cell.slice(0, width).padEnd(width) : cell.padStart(width);
    })
    .join('  ');
}

/** A sorted bin for reading in a terminal; ± is U95 (coverage factor 2). */
export function binTable(r: BinResult): string {
  const { size, radius, source } = r.reference;
  const { limits } = r;
  const usual = radius ? `, radius ${radius.value.toFixed(2)} mm` : '';
  const lines = [
    `${r.die.kind}, held against ${AGAINST[source]}: size ${size ? `${size.value.toFixed(2)} mm` : 'unknown'}${usual}; ± is U95 (k = 2)`,
    `limits: size ± ${limits.size.toFixed(2)} mm, radius at most ${limits.radius.toFixed(2)} mm, outline departs at most ${limits.departure.toFixed(3)} mm`,
    '',
    line(HEAD),
  ];
  for (const p of r.photos) {
    if (p.status === 'left-out') lines.push(`${p.photo}: left out - ${p.remark ?? ''}`);
    else if (p.remark !== null) lines.push(`${p.photo}: ${p.remark}`);
    for (const d of p.dice) {
      const lengths = [quantity(d.size, 3), quantity(d.radius, 2), quantity(d.departure, 3)];
      lines.push(
        line([p.photo, d.x.toFixed(1), d.y.toFixed(1), ...lengths, VERDICTS[d.verdict], sure(d.sure), d.reason]),
      );
    }
  }
  if (r.matched) {
    lines.push('', r.matched.remark);
    for (const m of r.matched.places)
      lines.push(`  (${m.x.toFixed(1)}, ${m.y.toFixed(1)}) mm: ${VERDICTS[m.verdict]} - ${m.reason}`);
  }
  const { keep, lookAgain, reject } = r.tally;
  return [...lines, '', `${keep} keep, ${lookAgain} look again, ${reject} reject`, ...r.notes, ''].join('\n');
}
