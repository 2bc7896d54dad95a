import { table, text, type Block, type Figure } from '../blocks.ts';
import { MISFIT, MODEL_DOUBT } from '../../../bias/meaning/prediction.ts';
import { rollsFigure } from '../../../figures/rolls.ts';
import { percent } from '../numbers.ts';
import { visible } from '../../record/plain-text.ts';
import type { ReportData } from '../../record/record.ts';
import type { RollsData } from '../../record/rolls-data.ts';
import { FIGURE_WIDTH } from './shape.ts';

const BEYOND =
  'This shape lies beyond what the quick prediction of rolls was made for, and it was not thrown: the intervals are wide for that.';

/** What the shape means for rolls, in plain sentences, or why nothing can be said. */
export const rollsSentences = ({ rolls, rollsMissing }: ReportData): string[] =>
  rolls
    ? [
        ...rolls.sentences.map(visible),
        ...(rolls.beyond.length > 0 && rolls.method === 'kernel' ? [BEYOND] : []),
        ...(rolls.rolled ? [rolledSentence(rolls.rolled)] : []),
      ]
    : [`Nothing can be said of rolls: ${visible(rollsMissing ?? '')}`];

/** Whether prediction and rolls of this very die agree. */
function rolledSentence({ rolls, verdict, p, power }: NonNullable<RollsData['rolled']>): string {
  const chance = p < 0.0001 ? 'below 0.0001' : p.toPrecision(2);
  const of = `This die was rolled ${rolls} times: `;
  if (verdict === 'agree') return `${of}shape and rolls agree (p ${chance}).`;
  if (verdict === 'disagree') return `${of}shape and rolls disagree (p ${chance}); one of them is not of this die, or it is not as solid and uniform, or the table not as rigid and level, as the prediction assumes.`; // prettier-ignore
  return `${of}they do not contradict its shape (p ${chance}), but so many tell the prediction from an even die only with probability ${power.toFixed(2)}.`;
}

/** How far the model is from what real bodies were seen to do. */
export const MISFIT_TEXT = `How far to trust it: published throws of ${MISFIT.bars} square steel bars (Budden 1980) differ from this model by ${MISFIT.scatter} of the effect of shape (root mean square; ${MISFIT.scatterNear} near the cube; deviance ${MISFIT.deviance}, where a perfect law would leave about ${MISFIT.bars}). The intervals allow for ${MODEL_DOUBT.faces}. No throws of other measured dice were found; those of this one, logged and read back, would tell.`;

/** Each number's chance as a chart; null without a prediction. */
export function rollsChart({ rolls, tolerance }: ReportData, height: number): Figure | null {
  if (!rolls) return null;
  return {
    caption: `Chance of each number, predicted from the shape, with its 95 % interval.${tolerance.chances ? ' Hatched: within the limits.' : ''}`,
    about: rolls.faces.map((f) => `${visible(f.name)}: ${percent(f.p)}, ${percent(f.low)} to ${percent(f.high)}`).join('; '), // prettier-ignore
    drawing: rollsFigure(rolls, tolerance.chances, FIGURE_WIDTH, height),
  };
}

export function rollsTable({ rolls }: ReportData): Block[] {
  if (!rolls) return [];
  const two = rolls.faces.length > 8 ? 2 : 1;
  const height = Math.ceil(rolls.faces.length / two);
  const cells = rolls.faces.map((f) => [visible(f.name), percent(f.p, 3), `${percent(f.low, 3)} to ${percent(f.high, 3)}`]); // prettier-ignore
  const head = ['Number', '#Chance', '#95 % interval'];
  return [
    table(
      'Chances of the numbers',
      two === 2 ? [...head, ...head] : head,
      Array.from({ length: height }, (_, i) => [...cells[i]!, ...(two === 2 ? (cells[i + height] ?? ['', '', '']) : [])]), // prettier-ignore
    ),
    text(
      `${rolls.thrown ? `From ${rolls.thrown.throws} simulated throws of this shape (seed ${rolls.thrown.seed}), a third on each table.` : 'Predicted by a kernel fitted to simulated throws, mean of all tables.'} Unevenness (root mean square of the relative deviations of the chances) ${rolls.unevenness.value.toPrecision(2)}, 95 % interval ${rolls.unevenness.low.toPrecision(2)} to ${rolls.unevenness.high?.toPrecision(2) ?? 'open'}.`,
      true,
    ),
  ];
}
