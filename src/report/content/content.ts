import { heading, text, type Block, type Content, type Figure, type Reader } from './blocks.ts';
import { COVERAGE_FACTOR } from '../../judging/decision.ts';
import { visible } from '../record/plain-text.ts';
import { answerOf } from '../record/answer.ts';
import type { ReportData, ReportRecord } from '../record/record.ts';
import { answerNumbers, answerText } from './answer-words.ts';
import { cardText, digestBlocks, identityFacts, remarksBlocks } from './sections/identity.ts';
import { budgetTable, calibrationTable, noteLines, softwareText } from './sections/method.ts';
import { checkedAgainst } from './sections/checked-against.ts';
import { digestsTable, outlineGallery, photosTable, remarksList } from './sections/photos.ts';
import { misfitText, rollsChart, rollsSentences, rollsTable } from './sections/rolls.ts';
import {
  axesChart,
  axesTable,
  covarianceTable,
  detailTables,
  dieBlock,
  facesBlock,
  netBlock,
  rangeText,
  shapeSentences,
} from './sections/shape.ts';
import { findingsBlocks, remedies, ruleText, verdictBlock } from './sections/verdict.ts';
import { axisName } from '../../text/axis-name.ts';
import type { Language } from '../../text/language.ts';
import { METHOD_WORDS } from './words/method-words.ts';
import { REPORT_WORDS } from './words/report-words.ts';

const caution = (t: string): Block => ({ kind: 'caution', text: t });
const figure = (f: Figure): Block => ({ kind: 'figure', ...f });
/** The one sentence, as on the page and in the picture for a shop. */
const answerSentence = ({ result, rolls }: ReportData, language: Language): string =>
  visible(answerText(answerOf(result, rolls), language, answerNumbers(language)));
const list = (items: readonly string[]): Block[] => (items.length > 0 ? [{ kind: 'list', items }] : []);

const coverageText = (language: Language): string => REPORT_WORDS[language].coverage(COVERAGE_FACTOR);
const cautions = (language: Language): Block => {
  const { money, lot, parts } = METHOD_WORDS[language].cautions;
  return caution(`${money} ${lot} ${parts}`);
};

/** What only illustrates is left out in turn: nothing, the picture of the die, the outlines too. */
export type Lean = 0 | 1 | 2;

/**
 * What a report says to one reader, before it takes a form.
 *
 * @param lean  Where room is short.
 */
export function reportContent(
  record: ReportRecord,
  reader: Reader,
  language: Language = 'en',
  lean: Lean = 0,
): Content {
  const { data, number } = record;
  const shown = { ...record, data: named(data, language) };
  const title = `${REPORT_WORDS[language].titles[reader]}: ${data.result.die.kind}${data.about.die === '' ? '' : `, ${visible(data.about.die)}`}`;
  const blocks = { buyer: forBuyer, seller: forSeller, lab: forLab }[reader](shown, language, lean);
  return {
    title,
    number,
    reader,
    language,
    foot: `${number} \u00b7 Evencast ${visible(data.software.version)}`,
    blocks: [heading(1, title), heading(2, answerSentence(shown.data, language)), ...blocks],
  };
}

/** The data with the axes' names as the language has them: a d4's end at a corner. */
function named(data: ReportData, language: Language): ReportData {
  const name = (axis: string): string => axisName(axis, language);
  const { result, checkedAgainst: checks } = data;
  return {
    ...data,
    result: { ...result, axes: result.axes.map((a) => ({ ...a, name: name(a.name) })) },
    ...(checks && {
      checkedAgainst: checks.map((c) => ({ ...c, readings: c.readings.map((r) => ({ ...r, axis: name(r.axis) })) })),
    }),
  };
}

function forBuyer(record: ReportRecord, language: Language): Block[] {
  const words = REPORT_WORDS[language];
  const { data } = record;
  const undecided = data.assessment.verdict === 'undecided' ? remedies(data, language) : [];
  return [
    { kind: 'facts', rows: identityFacts(record, false, language), columns: 2 },
    verdictBlock(data, language),
    ...list(undecided),
    heading(2, words.headings.found),
    ...list([...shapeSentences(data, language), ...rollsSentences(data, language), ...checkedAgainst(data, language)]),
    figure(axesChart(data, language)),
    text(
      `${coverageText(language)} ${data.result.card.checked ? '' : words.shared}${data.assessment.verdict === null ? '' : ruleText(data.rule, language)}`,
      true,
    ),
    ...remarksBlocks(data, 240, language),
    ...digestBlocks(record, false, language),
    cautions(language),
  ];
}

function forSeller(record: ReportRecord, language: Language, lean: Lean): Block[] {
  const words = REPORT_WORDS[language];
  const { data } = record;
  const chart = rollsChart(data, 130, language);
  return [
    { kind: 'facts', rows: identityFacts(record, false, language), columns: 2 },
    verdictBlock(data, language),
    ...findingsBlocks(data, language),
    heading(2, words.headings.axes),
    ...(lean > 0 ? [] : dieBlock(data, 150, language)),
    ...list([...shapeSentences(data, language), ...checkedAgainst(data, language)]),
    figure(axesChart(data, language)),
    axesTable(data, false, language),
    heading(2, words.headings.edges),
    ...netBlock(data, 150, language),
    ...(lean > 0 ? [] : facesBlock(data, 130, language)),
    heading(2, words.headings.rolls),
    ...list(rollsSentences(data, language)),
    ...(chart ? [figure(chart)] : []),
    ...(data.rolls ? [text(misfitText(language), true)] : []),
    heading(2, words.headings.done),
    text(`${METHOD_WORDS[language].short} ${cardText(data, language)} ${coverageText(language)}`),
    ...list(noteLines(data, language)),
    ...remarksBlocks(data, 400, language),
    photosTable(data, false, language),
    ...(lean > 1 ? [] : outlineGallery(data, 4, language, 4)),
    ...digestBlocks(record, false, language),
    cautions(language),
  ];
}

function forLab(record: ReportRecord, language: Language): Block[] {
  const words = REPORT_WORDS[language];
  const method = METHOD_WORDS[language];
  const { data } = record;
  const chart = rollsChart(data, 170, language);
  return [
    { kind: 'facts', rows: identityFacts(record, true, language), columns: 2 },
    text(method.cautions.lab, true),
    heading(2, words.headings.conformity),
    verdictBlock(data, language),
    ...findingsBlocks(data, language),
    heading(2, words.headings.results),
    ...dieBlock(data, 190, language),
    ...list([...shapeSentences(data, language), ...checkedAgainst(data, language)]),
    text(coverageText(language)),
    figure(axesChart(data, language)),
    axesTable(data, true, language),
    ...rangeText(data, language),
    covarianceTable(data, language),
    ...netBlock(data, 260, language),
    ...facesBlock(data, 260, language),
    ...detailTables(data, language),
    heading(2, words.headings.rolls),
    ...list(rollsSentences(data, language)),
    ...(chart ? [figure(chart)] : []),
    ...rollsTable(data, language),
    ...(data.rolls ? [text(misfitText(language), true)] : []),
    heading(2, words.headings.method),
    ...method.method.map((m) => text(m)),
    heading(3, words.headings.card),
    text(cardText(data, language)),
    heading(3, words.headings.conditions),
    ...(data.about.conditions === '' ? [text(words.noConditions)] : []),
    ...remarksBlocks(data, 1200, language),
    ...list(noteLines(data, language)),
    heading(3, words.headings.limits),
    ...list(method.limits),
    heading(2, words.headings.uncertainty),
    budgetTable(data, language),
    calibrationTable(data, language),
    heading(2, words.headings.photos),
    photosTable(data, true, language),
    ...remarksList(data, language),
    ...outlineGallery(data, data.result.photos.length === 4 ? 4 : 3, language),
    ...digestsTable(data, language),
    ...digestBlocks(record, true, language),
    softwareText(data, language),
    cautions(language),
  ];
}
