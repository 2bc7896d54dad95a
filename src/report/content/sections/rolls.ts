import { table, text, type Block, type Figure } from '../blocks.ts';
import { MISFIT, MODEL_DOUBT } from '../../../bias/meaning/prediction.ts';
import { germanFault } from '../../../bias/messages-de.ts';
import { rollsFigure } from '../../../figures/rolls.ts';
import type { Language } from '../../../text/language.ts';
import { NUMBERS } from '../numbers.ts';
import { visible } from '../../record/plain-text.ts';
import type { ReportData } from '../../record/record.ts';
import { predictionOf, type RollsData } from '../../record/rolls-data.ts';
import { ROLLS_WORDS } from '../words/rolls-words.ts';
import { germanSentences } from './rolls-german.ts';
import { FIGURE_WIDTH } from './shape.ts';

/** What the shape means for rolls, in plain sentences, or why nothing can be said. */
export function rollsSentences({ rolls, rollsMissing, result }: ReportData, language: Language): string[] {
  const words = ROLLS_WORDS[language];
  if (!rolls) return [words.missing(visible(language === 'de' ? whyMissing(result) : (rollsMissing ?? '')))];
  return [
    ...(language === 'de' ? germanSentences(rolls) : rolls.sentences).map(visible),
    ...(rolls.beyond.length > 0 && rolls.method === 'kernel' ? [words.beyond] : []),
    ...(rolls.rolled ? [rolledSentence(rolls.rolled, language)] : []),
  ];
}

/** The data give the reason in English; it follows from the result. */
function whyMissing(result: ReportData['result']): string {
  const predicted = predictionOf(result);
  return predicted.ok
    ? 'Die Form liegt außerhalb dessen, was die Vorhersage kennt.'
    : `${germanFault(predicted.error)}.`;
}

/** Whether prediction and rolls of this very die agree. */
function rolledSentence({ rolls, verdict, p, power }: NonNullable<RollsData['rolled']>, language: Language): string {
  const { rolled: words } = ROLLS_WORDS[language];
  const n = NUMBERS[language];
  const chance = p < 0.0001 ? `${words.below} ${n.fixed(0.0001, 4)}` : n.digits(p, 2);
  if (verdict === 'agree') return words.agree(rolls, chance);
  if (verdict === 'disagree') return words.disagree(rolls, chance);
  return words.cannotTell(rolls, chance, n.fixed(power, 2));
}

/** How far the model is from what real bodies were seen to do. */
export function misfitText(language: Language): string {
  const { short } = NUMBERS[language];
  const { bars, scatter, scatterNear, deviance } = MISFIT;
  return ROLLS_WORDS[language].misfit(bars, short(scatter), short(scatterNear), deviance, short(MODEL_DOUBT.faces));
}

/** Each number's chance as a chart; null without a prediction. */
export function rollsChart({ rolls, tolerance }: ReportData, height: number, language: Language): Figure | null {
  if (!rolls) return null;
  const words = ROLLS_WORDS[language];
  const { percent } = NUMBERS[language];
  return {
    caption: words.chart(tolerance.chances !== null),
    about: rolls.faces
      .map((f) => words.chance(visible(f.name), percent(f.p), percent(f.low), percent(f.high)))
      .join('; '),
    drawing: rollsFigure(rolls, tolerance.chances, FIGURE_WIDTH, height, language),
  };
}

export function rollsTable({ rolls }: ReportData, language: Language): Block[] {
  if (!rolls) return [];
  const words = ROLLS_WORDS[language];
  const { percent, digits } = NUMBERS[language];
  const two = rolls.faces.length > 8 ? 2 : 1;
  const height = Math.ceil(rolls.faces.length / two);
  const cells = rolls.faces.map((f) => [
    visible(f.name),
    percent(f.p, 3),
    words.interval(percent(f.low, 3), percent(f.high, 3)),
  ]);
  const from = rolls.thrown ? words.thrown(rolls.thrown.throws, rolls.thrown.seed) : words.kernel;
  const { value, low, high } = rolls.unevenness;
  return [
    table(
      words.table,
      two === 2 ? [...words.head, ...words.head] : words.head,
      Array.from({ length: height }, (_, i) => [
        ...cells[i]!,
        ...(two === 2 ? (cells[i + height] ?? ['', '', '']) : []),
      ]),
    ),
    text(words.unevenness(from, digits(value, 2), digits(low, 2), high === null ? null : digits(high, 2)), true),
  ];
}
