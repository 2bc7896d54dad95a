import { remarkOf } from '../../../text/notes.ts';
import type { Language } from '../../../text/language.ts';
import type { BudgetLine, NoteCode } from '../../../formats/result.ts';
import { table, text, type Block } from '../blocks.ts';
import { NUMBERS } from '../numbers.ts';
import { visible } from '../../record/plain-text.ts';
import type { ReportData } from '../../record/record.ts';
import { METHOD_WORDS } from '../words/method-words.ts';

/** The budget of uncertainty. */
export function budgetTable({ result }: ReportData, language: Language): Block {
  const { sources, budget } = METHOD_WORDS[language];
  const u = (x: number): string => NUMBERS[language].fixed(1000 * x, 2);
  const sum = (of: (b: BudgetLine) => number): number => Math.sqrt(result.budget.reduce((s, b) => s + of(b) ** 2, 0));
  return table(budget.caption, budget.head, [
    ...result.budget.map((b) => [
      Object.hasOwn(sources, b.source) ? sources[b.source] : visible(b.source),
      u(b.meanAxis),
      u(b.difference),
      u(b.meanRadius),
    ]),
    [budget.all, u(sum((b) => b.meanAxis)), u(sum((b) => b.difference)), u(sum((b) => b.meanRadius))],
  ]);
}

/** What was found of camera, card and surface. */
export function calibrationTable({ result }: ReportData, language: Language): Block {
  const { camera: c, card, surface: s, fit } = result;
  const w = METHOD_WORDS[language].fitted;
  const { fixed, short } = NUMBERS[language];
  const row = (name: string, value: string, u: number | null, d: number): string[] => [
    name,
    value,
    u === null ? '\u2013' : fixed(u, d),
  ];
  const ended = (stop: string): string => (Object.hasOwn(w.stops, stop) ? w.stops[stop]! : visible(stop));
  return table(w.caption, w.head, [
    row(w.picture, `${c.width} \u00d7 ${c.height}`, null, 0),
    row(w.focal, fixed(c.f, 1), c.u[0] ?? null, 1),
    row(w.centreX, fixed(c.cx, 1), c.u[1] ?? null, 1),
    row(w.centreY, fixed(c.cy, 1), c.u[2] ?? null, 1),
    row(w.k1, fixed(c.k1, 4), c.u[3] ?? null, 4),
    row(w.k2, fixed(c.k2, 4), c.u[4] ?? null, 4),
    row(w.scaleX, fixed(card.scaleX.value, 5), card.scaleX.u, 5),
    row(w.scaleY, fixed(card.scaleY.value, 5), card.scaleY.u, 5),
    row(w.bow, fixed(card.bow, 3), null, 0),
    row(w.mirror, fixed(s.mirror.value, 3), s.mirror.u, 3),
    row(w.rough, fixed(s.rough.value, 3), s.rough.u, 3),
    row(w.limb, fixed(s.limb.value, 3), s.limb.u, 3),
    row(w.sharpening, fixed(s.sharpening.value, 3), s.sharpening.u, 3),
    row(w.sharpeningRadius, fixed(s.sharpeningRadius, 2), null, 0),
    row(w.points, short(fit.points), null, 0),
    row(w.chiSquare, fixed(fit.reducedChiSquare, 3), null, 0),
    row(w.sigma, fixed(fit.outlineSigma, 4), null, 0),
    row(w.stop, ended(fit.stop), null, 0),
    ...(fit.cameraStop === undefined ? [] : [row(w.cameraStop, ended(fit.cameraStop), null, 0)]),
  ]);
}

/** Remarks on the whole set; that the scale was not checked stands with the card. */
export function noteLines({ result }: ReportData, language: Language): string[] {
  return result.notes
    .filter((note) => note.code !== 'scale-unchecked')
    .map((note) => {
      try {
        return visible(remarkOf(note as { code: NoteCode }, language));
      } catch {
        // A code of another version, which has no words here.
        return visible(note.code);
      }
    });
}

/** Software and seeds. */
export const softwareText = ({ software, seeds, result }: ReportData, language: Language): Block =>
  text(
    METHOD_WORDS[language].software(
      software.name,
      visible(software.version),
      visible(software.model),
      result.format,
      seeds.jointDraws,
      seeds.joint,
    ),
    true,
  );
