import type { JudgedMarks } from '../formats/kept.ts';
import type { MarkResult, MeasureResult } from '../formats/result.ts';

/** Places this near to each other on a face are one mark's, mm: measuring again finds it hardly elsewhere. */
export const SAME_MARK = 0.6;

const same = (a: Pick<MarkResult, 'face' | 'place'>, b: Pick<MarkResult, 'face' | 'place'>): boolean =>
  a.face === b.face && Math.hypot(a.place[0] - b.place[0], a.place[1] - b.place[1]) < SAME_MARK;

/** Whether a person said of a mark that was found that it is none. */
export const isRejected = (mark: MarkResult, { rejected }: JudgedMarks): boolean => rejected.some((r) => same(r, mark));

/** A result with the marks that a person left in it and those that the person added. */
export function withJudgedMarks(result: MeasureResult, judged: JudgedMarks): MeasureResult {
  if (judged.rejected.length === 0 && judged.added.length === 0) return result;
  const found = (result.marks ?? []).filter((mark) => !isRejected(mark, judged));
  return { ...result, marks: [...found, ...judged.added] };
}

/** The other judgement of a mark: found ones are rejected and taken back, added ones go. */
export function judgedOtherwise(mark: MarkResult, judged: JudgedMarks): JudgedMarks {
  if (judged.added.includes(mark)) return { ...judged, added: judged.added.filter((m) => m !== mark) };
  return isRejected(mark, judged)
    ? { ...judged, rejected: judged.rejected.filter((r) => !same(r, mark)) }
    : { ...judged, rejected: [...judged.rejected, { face: mark.face, place: mark.place }] };
}
