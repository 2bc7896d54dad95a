import type { MeasureResult } from '../../formats/result.ts';
import { dieDifferences, COMPARED } from '../../figures/dice-comparison.ts';
import { axesFigure } from '../../figures/axes.ts';
import { dieFigure } from '../../figures/die.ts';
import { escaped } from '../../figures/svg.ts';
import { COVERAGE_FACTOR } from '../../judging/decision.ts';
import { NO_LIMITS } from '../../judging/tolerance.ts';
import { LOCALES } from '../../text/language.ts';
import { heading, table, text, type Block } from '../content/blocks.ts';
import { answerNumbers, answerText, type AnswerLanguage } from '../content/answer-words.ts';
import { COMPARISON_WORDS } from '../content/comparison-words.ts';
import { decimalsFor } from '../content/numbers.ts';
import type { Answer } from '../record/answer.ts';
import { base64 } from '../../formats/base64.ts';
import { utf8 } from '../record/bytes.ts';
import { visible } from '../record/plain-text.ts';
import { blockHtml, STYLE } from './html-report.ts';

/** A die of a comparison. */
export interface ComparedDie {
  readonly name: string;
  readonly result: MeasureResult;
  readonly answer: Answer;
}

const WIDTH = 480;

/** `value ± U95` in the language's own digits, with the places that the doubt warrants. */
function stated(value: number, u: number, language: AnswerLanguage, sign = false): string {
  const U = COVERAGE_FACTOR * u;
  const digits = decimalsFor(U);
  const format = new Intl.NumberFormat(LOCALES[language], {
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
    signDisplay: sign ? 'exceptZero' : 'auto',
  });
  return `${format.format(value).replace('-', '\u2212')} \u00b1 ${format.format(U)}`;
}

/**
 * Two to six dice beside each other as one HTML file: no script, nothing fetched, the results in a link that saves them.
 *
 * @param date  As it shall stand there.
 */
export function comparisonHtml(
  dice: readonly ComparedDie[],
  language: AnswerLanguage,
  sameCard: boolean,
  date: string,
): Uint8Array {
  const words = COMPARISON_WORDS[language];
  const [first, ...others] = dice;
  const blocks: Block[] = [
    heading(1, words.title),
    text(words.about + (sameCard ? ` ${words.sameCard}` : '')),
    ...dice.flatMap(({ name, result, answer }): Block[] => {
      const figures = figuresOf(result, language);
      return [
        heading(2, `${visible(name)} (${result.die.kind})`),
        text(answerText(answer, language, answerNumbers(language))),
        ...(figures.length === 0 ? [] : [{ kind: 'gallery', caption: words.axes, columns: 2, figures } as const]),
      ];
    }),
    table(
      words.values,
      [words.die, ...COMPARED.map((what) => `#${words.quantity[what]}`)],
      dice.map(({ name, result }) => [
        visible(name),
        ...COMPARED.map((what) => stated(result[what].value, result[what].u, language)),
      ]),
    ),
    table(
      words.differences(visible(first!.name)),
      [words.die, ...COMPARED.map((what) => `#${words.quantity[what]}`)],
      others.map(({ name, result }) => [
        visible(name),
        ...dieDifferences(result, first!.result, sameCard).map(
          ({ value, u, shown }) => `${stated(value, u, language, true)} (${shown ? words.shown : words.notShown})`,
        ),
      ]),
    ),
    { kind: 'caution', text: words.caution },
  ];
  const data = `data:application/json;base64,${base64(utf8(JSON.stringify(dice.map(({ name, result }) => ({ name, result })))))}`;
  return utf8(
    [
      '<!doctype html>',
      `<html lang="${language}">`,
      '<head>',
      '<meta charset="utf-8">',
      `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'">`,
      '<meta name="viewport" content="width=device-width, initial-scale=1">',
      `<title>${escaped(words.title)}</title>`,
      `<style>${STYLE}</style>`,
      '</head>',
      '<body>',
      '<main>',
      ...blocks.map(blockHtml),
      '</main>',
      `<footer>${escaped(words.made(date))} \u00b7 <a download="evencast-dice.json" href="${data}">${escaped(words.save)}</a></footer>`,
      '</body>',
      '</html>',
      '',
    ].join('\n'),
  );
}

function figuresOf(
  result: MeasureResult,
  language: AnswerLanguage,
): { caption: string; about: string; drawing: ReturnType<typeof axesFigure> }[] {
  const axes = { caption: '', about: '', drawing: axesFigure({ result, tolerance: NO_LIMITS }, WIDTH, language) };
  try {
    return [{ caption: '', about: result.die.kind, drawing: dieFigure(result, null, WIDTH / 2, 170) }, axes];
  } catch {
    return [axes];
  }
}
