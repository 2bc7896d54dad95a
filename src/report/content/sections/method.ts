import { remarkOf } from '../../../text/notes.ts';
import type { BudgetLine, NoteCode } from '../../../formats/result.ts';
import { table, text, type Block } from '../blocks.ts';
import { visible } from '../../record/plain-text.ts';
import type { ReportData } from '../../record/record.ts';

/** What was done, short. */
export const METHOD_SHORT =
  'The die was photographed on the printed Evencast card. The card gives camera and scale; the outlines of the die in all photos are fitted together by one solid of flat faces and rounded corners.';

/** What was done, for whoever wants to judge it. */
export const METHOD = [
  'The die stands on a printed card whose ring of squares and markers is known. Their corner points, found to a few hundredths of a pixel, give the camera (focal length, centre, two terms of distortion), the pose of the card in each photo, its bow and its scale, in one least-squares fit.',
  'The outline of the die is compared pixel by pixel, in a band along it, with what the predicted outline would show: step and mirrored rim blurred in linear light, tone curve, sharpening. How much the rim mirrors comes from the faces themselves (Fresnel equations, smooth and rough).',
  'One solid is fitted to all photos together: a plane per face, at its own distance, and a ball per corner, tangent to the planes that meet there; with each photo where the die stands. An axis is the sum of two opposite face distances. The covariance comes from the fit, from the scatter of stretches of outline, and from the influences listed in the budget (JCGM 100).',
] as const;

/** What this method cannot do. */
export const LIMITS_OF_METHOD = [
  'A crown (a face standing proud in its middle) shows only where a photo sees the face edge-on; where none does, the doubt of lengths over the faces holds what is believed of the finish. Outlines show no sunk faces, no pits, no engraving and nothing inside: an off-centre mass or a bubble is not seen.',
  'A gate mark is seen only where it stands in an outline.',
  'Photos reach hundredths of a millimetre, not micrometres.',
  'The prediction of rolls assumes solid, uniform material and a rigid, level table.',
] as const;

/** Cautions that stand on every report. */
export const CAUTIONS = {
  money:
    'Not for gaming for money: this report is no certificate for regulated play, where local law, the regulator and accredited laboratories decide.',
  lot: 'It speaks of this one die. One die says little about the lot that it came from; judging a lot takes a sample of it.',
  parts: 'Small parts: keep small dice away from small children.',
  lab: 'Laid out after ISO/IEC 17025:2017, 7.8, as far as that applies to measurements of one\u2019s own. No accreditation is held or claimed.',
} as const;

export const SOURCES: Readonly<Record<BudgetLine['source'], string>> = {
  noise: 'Noise of the pictures',
  outline: 'Scatter of stretches of outline',
  camera: 'Camera and poses of the card',
  scale: 'Scale of the card',
  edge: 'Where a picture\u2019s edge lies, all alike',
  sheen: 'Light mirrored at the rim',
  shade: 'Shade of the stage beside edges that lie on it',
  sharpening: 'Sharpening by the camera',
  crown: 'Crowns of the faces',
  apex: 'Apex angle of the mould',
  front: 'Numbers in front that no face told',
};

/** The budget of uncertainty. */
export function budgetTable({ result }: ReportData): Block {
  const u = (x: number): string => (1000 * x).toFixed(2);
  const sum = (of: (b: BudgetLine) => number): number => Math.sqrt(result.budget.reduce((s, b) => s + of(b) ** 2, 0));
  return table(
    'Budget: standard uncertainty from each source alone, \u00b5m',
    ['Source', '#Mean axis', '#Difference of two axes', '#Mean corner radius'],
    [
      ...result.budget.map((b) => [
        Object.hasOwn(SOURCES, b.source) ? SOURCES[b.source] : visible(b.source),
        u(b.meanAxis),
        u(b.difference),
        u(b.meanRadius),
      ]),
      ['All together', u(sum((b) => b.meanAxis)), u(sum((b) => b.difference)), u(sum((b) => b.meanRadius))],
    ],
  );
}

/** What was found of camera, card and surface. */
export function calibrationTable({ result }: ReportData): Block {
  const { camera: c, card, surface: s, fit } = result;
  const row = (name: string, value: string, u: number | null, d: number): string[] => [name, value, u === null ? '\u2013' : u.toFixed(d)]; // prettier-ignore
  return table(
    'Camera, card and surface as fitted',
    ['Quantity', '#Value', '#u'],
    [
      row('Picture, px', `${c.width} \u00d7 ${c.height}`, null, 0),
      row('Focal length f, px', c.f.toFixed(1), c.u[0] ?? null, 1),
      row('Centre x, px', c.cx.toFixed(1), c.u[1] ?? null, 1),
      row('Centre y, px', c.cy.toFixed(1), c.u[2] ?? null, 1),
      row('Distortion k1', c.k1.toFixed(4), c.u[3] ?? null, 4),
      row('Distortion k2', c.k2.toFixed(4), c.u[4] ?? null, 4),
      row('Card, printed over designed, x', card.scaleX.value.toFixed(5), card.scaleX.u, 5),
      row('Card, printed over designed, y', card.scaleY.value.toFixed(5), card.scaleY.u, 5),
      row('Bow of the card, mm', card.bow.toFixed(3), null, 0),
      row('Rim: mirrored share', s.mirror.value.toFixed(3), s.mirror.u, 3),
      row('Rim: rough share', s.rough.value.toFixed(3), s.rough.u, 3),
      row('Rim: brightening of the body', s.limb.value.toFixed(3), s.limb.u, 3),
      row('Sharpening, amount', s.sharpening.value.toFixed(3), s.sharpening.u, 3),
      row('Sharpening, radius, px', s.sharpeningRadius.toFixed(2), null, 0),
      row('Points of outline', String(fit.points), null, 0),
      row('Reduced chi-square', fit.reducedChiSquare.toFixed(3), null, 0),
      row('Scatter of stretches of outline, px', fit.outlineSigma.toFixed(4), null, 0),
      row('Fit ended by', visible(fit.stop), null, 0),
    ],
  );
}

/** Remarks on the whole set; that the scale was not checked stands with the card. */
export function noteLines({ result }: ReportData): string[] {
  return result.notes
    .filter((note) => note.code !== 'scale-unchecked')
    .map((note) => {
      try {
        return visible(remarkOf(note as { code: NoteCode }));
      } catch {
        // A code of another version, which has no words here.
        return visible(note.code);
      }
    });
}

/** Software and seeds. */
export const softwareText = ({ software, seeds, result }: ReportData): Block =>
  text(
    `Software: ${software.name} ${visible(software.version)}, kernels of the rolls ${visible(software.model)}. Formats: ${result.format}, evencast-report/1. Seed of the ${seeds.jointDraws} draws behind the probability of several limits being kept at once: ${seeds.joint}. Nothing else is left to chance.`,
    true,
  );
