import type { MeasureFailure, MeasureResult } from '../../formats/result.ts';
import type { Result } from '../../result.ts';
import { GROUPS, type Alteration } from './alterations.ts';
import { agreementOf, faceAgreementOf, faceWords, type Agreement, type Truth } from './truth.ts';

/** An error so many standard uncertainties large is a wrong number. */
export const WRONG = 3.5;
/** Remarks that say nothing of a wrong number. */
const USUAL: ReadonlySet<string> = new Set(['scale-unchecked', 'sheen-unknown', 'edge-on']);

export type Fate = 'held' | 'wrong, remarked' | 'silent' | 'refused';

/** What came of one set and one alteration. */
export interface Outcome {
  readonly set: string;
  readonly alteration: Alteration;
  readonly fate: Fate;
  /** A wrong number without a remark, or a refusal where a result is rightly expected. */
  readonly failed: boolean;
  /** Whether anything was remarked. */
  readonly remarked: boolean;
  readonly agreement: Agreement | null;
  readonly line: string;
}

/** Holds a result against the truth, and against whether a refusal was right there. */
export function outcomeOf(
  set: string,
  alteration: Alteration,
  measured: Result<MeasureResult, MeasureFailure>,
  truth: Truth,
): Outcome {
  const head = `${set.padEnd(14)} ${alteration.name.padEnd(24)}`;
  if (!measured.ok) {
    const codes = [...new Set(measured.error.photos.flatMap((p) => p.notes.map((n) => n.code)))];
    const line = `${head} refused          ${measured.error.code}; ${codes.join(' ')}`;
    return { set, alteration, fate: 'refused', failed: alteration.expected, remarked: true, agreement: null, line };
  }
  const { photos, notes } = measured.value;
  const codes = new Set([...photos.flatMap((p) => p.notes), ...notes].map((n) => n.code).filter((c) => !USUAL.has(c)));
  const a = agreementOf(measured.value, truth);
  const fate = a.worst <= WRONG ? 'held' : codes.size > 0 ? 'wrong, remarked' : 'silent';
  const used = photos.filter((p) => p.status !== 'left-out').length;
  const f = (v: number): string => v.toFixed(1);
  const faces = faceWords(faceAgreementOf(measured.value, truth));
  const line = `${head} ${fate.padEnd(16)} rms ${f(a.rms)} (u ${f(a.u)}), radius ${f(a.radius)} (${f(a.radiusU)}), within U95 ${a.within}/${a.count}, worst ${f(a.worst)} u (${a.of}), ${used} of ${photos.length} photos${faces && `; ${faces};`} ${[...codes].join(' ')}`;
  return { set, alteration, fate, failed: fate === 'silent', remarked: codes.size > 0, agreement: a, line };
}

interface Row {
  readonly name: string;
  readonly of: readonly Outcome[];
}

/** Sums by group, or by alteration where `whole`; Markdown. */
export function tableOf(outcomes: readonly Outcome[], whole: boolean): string {
  const names = [...new Set(outcomes.map((o) => o.alteration.name))];
  const rows: Row[] = whole
    ? names.map((name) => ({ name, of: outcomes.filter((o) => o.alteration.name === name) }))
    : GROUPS.map((name) => ({ name, of: outcomes.filter((o) => o.alteration.group === name) }));
  const lines = [...rows.filter((r) => r.of.length > 0), { name: 'all', of: outcomes }].map(rowOf);
  const failures = outcomes.filter((o) => o.failed).map((o) => `${o.set} ${o.alteration.name}: ${o.fate}`);
  return [
    '| altered | sets | held | of these without a remark | wrong, remarked | wrong, silent | refused | within U95 | median rms, um |',
    '|---|---|---|---|---|---|---|---|---|',
    ...lines,
    '',
    failures.length > 0
      ? `failures: ${failures.join('; ')}`
      : 'no wrong number without a remark, no refusal where a result is expected',
  ].join('\n');
}

function rowOf({ name, of }: Row): string {
  const count = (fate: Fate): number => of.filter((o) => o.fate === fate).length;
  const measured = of.flatMap((o) => (o.agreement ? [o.agreement] : []));
  const [within, all] = [measured.reduce((s, a) => s + a.within, 0), measured.reduce((s, a) => s + a.count, 0)];
  const rms = measured.map((a) => a.rms).sort((a, b) => a - b);
  const plain = of.filter((o) => o.fate === 'held' && !o.remarked).length;
  const share = all > 0 ? `${within}/${all} = ${((100 * within) / all).toFixed(0)} %` : '-';
  const middle = rms.length > 0 ? rms[rms.length >> 1]!.toFixed(1) : '-';
  return `| ${name} | ${of.length} | ${count('held')} | ${plain} | ${count('wrong, remarked')} | ${count('silent')} | ${count('refused')} | ${share} | ${middle} |`;
}
