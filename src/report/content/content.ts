import { heading, text, type Block, type Content, type Figure, type Reader } from './blocks.ts';
import { COVERAGE_FACTOR } from '../../judging/decision.ts';
import { visible } from '../record/plain-text.ts';
import { answerOf } from '../record/answer.ts';
import type { ReportData, ReportRecord } from '../record/record.ts';
import { answerNumbers, answerText } from './answer-words.ts';
import { cardText, digestBlocks, identityFacts, remarksBlocks } from './sections/identity.ts';
import { budgetTable, calibrationTable, CAUTIONS, LIMITS_OF_METHOD, METHOD, METHOD_SHORT, noteLines, softwareText } from './sections/method.ts'; // prettier-ignore
import { checkedAgainst } from './sections/checked-against.ts';
import { digestsTable, outlineGallery, photosTable, remarksList } from './sections/photos.ts';
import { MISFIT_TEXT, rollsChart, rollsSentences, rollsTable } from './sections/rolls.ts';
import {
  axesChart,
  axesTable,
  covarianceTable,
  detailTables,
  dieBlock,
  netBlock,
  rangeText,
  shapeSentences,
} from './sections/shape.ts';
import { findingsBlocks, remedies, ruleText, verdictBlock } from './sections/verdict.ts';

const caution = (t: string): Block => ({ kind: 'caution', text: t });
const figure = (f: Figure): Block => ({ kind: 'figure', ...f });
/** The one sentence, as on the page and in the picture for a shop. */
const answerSentence = ({ result, rolls }: ReportData): string =>
  visible(answerText(answerOf(result, rolls), 'en', answerNumbers('en')));
const list = (items: readonly string[]): Block[] => (items.length > 0 ? [{ kind: 'list', items }] : []);

const COVERAGE_TEXT = `\u201c\u00b1\u201d states the expanded uncertainty U95 = ${COVERAGE_FACTOR} u (coverage factor k = ${COVERAGE_FACTOR}, JCGM 100): the true value lies within about 95 times out of 100.`;

/** What only illustrates is left out in turn: nothing, the picture of the die, the outlines too. */
export type Lean = 0 | 1 | 2;

/**
 * What a report says to one reader, before it takes a form.
 *
 * @param lean  Where room is short.
 */
export function reportContent(record: ReportRecord, reader: Reader, lean: Lean = 0): Content {
  const { data, number } = record;
  const what = { buyer: 'Report on a die', seller: 'Measurement report', lab: 'Measurement report, in full' }[reader];
  const title = `${what}: ${data.result.die.kind}${data.about.die === '' ? '' : `, ${visible(data.about.die)}`}`;
  const blocks = { buyer: forBuyer, seller: forSeller, lab: forLab }[reader](record, lean);
  return {
    title,
    number,
    reader,
    foot: `${number} \u00b7 Evencast ${visible(data.software.version)}`,
    blocks: [heading(1, title), heading(2, answerSentence(data)), ...blocks],
  };
}

function forBuyer(record: ReportRecord): Block[] {
  const { data } = record;
  const undecided = data.assessment.verdict === 'undecided' ? remedies(data) : [];
  return [
    { kind: 'facts', rows: identityFacts(record, false), columns: 2 },
    verdictBlock(data),
    ...list(undecided),
    heading(2, 'What was found'),
    ...list([...shapeSentences(data), ...rollsSentences(data), ...checkedAgainst(data)]),
    figure(axesChart(data)),
    text(`${COVERAGE_TEXT} ${data.result.card.checked ? '' : 'The card was not checked, so all lengths share a doubt, and differences between axes in proportion only. '}${data.assessment.verdict === null ? '' : ruleText(data.rule)}`, true), // prettier-ignore
    ...remarksBlocks(data, 240),
    ...digestBlocks(record, false),
    caution(`${CAUTIONS.money} ${CAUTIONS.lot} ${CAUTIONS.parts}`),
  ];
}

function forSeller(record: ReportRecord, lean: Lean): Block[] {
  const { data } = record;
  const chart = rollsChart(data, 130);
  return [
    { kind: 'facts', rows: identityFacts(record, false), columns: 2 },
    verdictBlock(data),
    ...findingsBlocks(data),
    heading(2, 'Axes'),
    ...(lean > 0 ? [] : dieBlock(data, 150)),
    ...list([...shapeSentences(data), ...checkedAgainst(data)]),
    figure(axesChart(data)),
    axesTable(data, false),
    heading(2, 'Edges and corners'),
    ...netBlock(data, 150),
    heading(2, 'Rolls'),
    ...list(rollsSentences(data)),
    ...(chart ? [figure(chart)] : []),
    ...(data.rolls ? [text(MISFIT_TEXT, true)] : []),
    heading(2, 'What was done'),
    text(`${METHOD_SHORT} ${cardText(data)} ${COVERAGE_TEXT}`),
    ...list(noteLines(data)),
    ...remarksBlocks(data, 400),
    photosTable(data, false),
    ...(lean > 1 ? [] : outlineGallery(data, 4, 4)),
    ...digestBlocks(record, false),
    caution(`${CAUTIONS.money} ${CAUTIONS.lot} ${CAUTIONS.parts}`),
  ];
}

function forLab(record: ReportRecord): Block[] {
  const { data } = record;
  const chart = rollsChart(data, 170);
  return [
    { kind: 'facts', rows: identityFacts(record, true), columns: 2 },
    text(CAUTIONS.lab, true),
    heading(2, 'Statement of conformity'),
    verdictBlock(data),
    ...findingsBlocks(data),
    heading(2, 'Results'),
    ...dieBlock(data, 190),
    ...list([...shapeSentences(data), ...checkedAgainst(data)]),
    text(COVERAGE_TEXT),
    figure(axesChart(data)),
    axesTable(data, true),
    ...rangeText(data),
    covarianceTable(data),
    ...netBlock(data, 260),
    ...detailTables(data),
    heading(2, 'Rolls'),
    ...list(rollsSentences(data)),
    ...(chart ? [figure(chart)] : []),
    ...rollsTable(data),
    ...(data.rolls ? [text(MISFIT_TEXT, true)] : []),
    heading(2, 'Method'),
    ...METHOD.map((m) => text(m)),
    heading(3, 'Card and scale'),
    text(cardText(data)),
    heading(3, 'Conditions and remarks'),
    ...(data.about.conditions === '' ? [text('Conditions: not stated.')] : []),
    ...remarksBlocks(data, 1200),
    ...list(noteLines(data)),
    heading(3, 'Limits of the method'),
    ...list(LIMITS_OF_METHOD),
    heading(2, 'Uncertainty'),
    budgetTable(data),
    calibrationTable(data),
    heading(2, 'Photos and residuals'),
    photosTable(data, true),
    ...remarksList(data),
    ...outlineGallery(data, data.result.photos.length === 4 ? 4 : 3),
    ...digestsTable(data),
    ...digestBlocks(record, true),
    softwareText(data),
    caution(`${CAUTIONS.money} ${CAUTIONS.lot} ${CAUTIONS.parts}`),
  ];
}
