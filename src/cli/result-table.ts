import { twoLengths } from '../judging/two-lengths.ts';
import { remarkOf } from '../text/notes.ts';
import { TWO_LENGTHS } from '../text/two-lengths.ts';
import type { MeasureResult, Quantity } from '../formats/result.ts';

const mm = (v: number): string => v.toFixed(3);
const U95 = (u: number): string => (2 * u).toFixed(3);
const quantity = (q: Quantity): string => `${mm(q.value)} ± ${U95(q.u)} mm`;

/** A result for reading in a terminal; ± is U95 (coverage factor 2). */
export function resultTable(r: MeasureResult): string {
  const lines = [
    `${r.die.kind}, ${r.photos.filter((p) => p.status !== 'left-out').length} of ${r.photos.length} photos used; ± is U95 (k = 2)`,
    '',
  ];
  const two = twoLengths(r.axes);
  lines.push(`axis        length mm      U95   apart from the others${two ? '   at the edges      U95' : ''}`);
  for (const a of r.axes) {
    const e = two ? a.lengthAtEdges : undefined;
    const edges = e ? `${mm(e.value).padStart(36 - U95(a.uDifference).length)} ${U95(e.u).padStart(8)}` : '';
    lines.push(
      `${a.name.padEnd(10)} ${mm(a.length).padStart(10)} ${U95(a.u).padStart(8)}   ${U95(a.uDifference)}${edges}`,
    );
  }
  if (two) lines.push('', TWO_LENGTHS.en[two]);
  lines.push(
    '',
    `mean axis          ${quantity(r.meanAxis)}`,
    `range of axes      ${quantity(r.rangeOfAxes)}`,
    `mean corner radius ${quantity(r.meanCornerRadius)}`,
    '',
  );
  lines.push('what the doubt is made of (U95, mm)   mean axis   difference   mean radius');
  for (const b of r.budget)
    lines.push(
      `  ${b.source.padEnd(34)} ${U95(b.meanAxis).padStart(9)} ${U95(b.difference).padStart(12)} ${U95(b.meanRadius).padStart(13)}`,
    );
  for (const n of r.notes) lines.push('', remarkOf(n));
  for (const p of r.photos) if (p.remark !== null) lines.push('', `${p.photo} (${p.status}): ${p.remark}`);
  return `${lines.join('\n')}\n`;
}
