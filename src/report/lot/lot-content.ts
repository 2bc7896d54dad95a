import type { Acceptance } from '../../lots/acceptance.ts';
import type { LotAnalysis, Summary } from '../../lots/analysis.ts';
import { findings } from '../../lots/findings.ts';
import { FAMILIES, leftOut, LIMITED, type Lot } from '../../lots/lot.ts';
import { keyWords, LOT_WORDS, type LotWords, type Numbers } from '../../lots/lot-words.ts';
import type { Estimate } from '../../lots/moments.ts';
import { heading, table, text, type Block, type Content, type Fact } from '../content/blocks.ts';
import { visible } from '../record/plain-text.ts';
import { axisName } from '../../text/axis-name.ts';
import type { Language } from '../../text/language.ts';
import { NUMBERS } from '../content/numbers.ts';
import { LOT_NUMBERS, LOT_REPORT_WORDS } from './lot-report-words.ts';
import { axesSpreadFigure, chartFigure, componentsFigure, courseFigure, curveFigure } from './lot-figures.ts';

/** How one language says it. */
interface Said {
  readonly language: Language;
  /** What the lot tells. */
  readonly words: LotWords;
  /** What the report says beside it. */
  readonly own: (typeof LOT_REPORT_WORDS)['en'];
  readonly n: Numbers;
  /** A quantity by its key. */
  readonly key: (key: string) => string;
}

function saidIn(language: Language): Said {
  const words = LOT_WORDS[language];
  const key = (k: string): string => visible(axisName(keyWords(k, words), language));
  return { language, words, own: LOT_REPORT_WORDS[language], n: LOT_NUMBERS[language], key };
}

const WIDTH = 480;

/** All that a report of a lot is made of. */
export interface LotReportInput {
  /** With the dice that were left out: it is attached, and a sample is judged by it. */
  readonly whole: Lot;
  /** What is judged. */
  readonly lot: Lot;
  readonly analysis: LotAnalysis;
  readonly sampling: Acceptance | null;
  /** YYYY-MM-DD. */
  readonly reportedOn: string;
  /** First letters of the digest of the lot file. */
  readonly number: string;
  /** English where left out. */
  readonly language?: Language;
}

/** A lot's report, before it takes a form. Whatever was typed is shown as text. */
export function lotContent(input: LotReportInput): Content {
  const said = saidIn(input.language ?? 'en');
  const { words, own, n, key, language } = said;
  const { lot, number, reportedOn } = input;
  return {
    title: own.title(number),
    number,
    reader: 'lab',
    language,
    foot: own.foot(number, NUMBERS[language].date(reportedOn)),
    blocks: [
      heading(1, own.title(number)),
      { kind: 'facts', rows: identity(input, said), columns: 2 },
      ...(lot.note === '' ? [] : [text(visible(lot.note))]),
      ...limitBlocks(input, said),
      ...verdictBlocks(input, said),
      heading(2, own.tells),
      {
        kind: 'list',
        items: findings(lot, input.analysis).map((f) => visible(words.finding(f, n, key, lot.timeUnit))),
      },
      ...spreadBlocks(input, said),
      ...componentBlocks(input, said),
      ...courseBlocks(input, said),
      ...capabilityBlocks(input, said),
      ...cavityBlocks(input, said),
      ...diceBlocks(input, said),
      ...methodBlocks(said),
      { kind: 'caution', text: words.caution },
    ],
  };
}

function identity({ whole, lot, reportedOn }: LotReportInput, { own, language }: Said): Fact[] {
  const words = own.identity;
  const out = leftOut(whole, lot);
  return [
    { label: words.lot, value: visible(lot.name) || words.noName },
    { label: words.kind, value: lot.kind },
    { label: words.measured, value: String(whole.dice.length) },
    ...(out.length > 0 ? [{ label: words.leftOut, value: visible(out.join(', ')) }] : []),
    { label: words.size, value: lot.size === null ? words.notSaid : String(lot.size) },
    { label: words.reportedOn, value: visible(NUMBERS[language].date(reportedOn)) },
  ];
}

function limitBlocks({ lot }: LotReportInput, { words, own, n }: Said): Block[] {
  const end = (x: number | null): string => (x === null ? own.limits.none : n.fixed(x, 3));
  const rows = LIMITED.flatMap((of) => {
    const { lower, upper } = lot.limits[of];
    return lower === null && upper === null ? [] : [[words.whole[of], end(lower), end(upper)]];
  });
  return rows.length === 0 ? [] : [table(own.limits.caption, own.limits.head, rows)];
}

function verdictBlocks({ sampling }: LotReportInput, { words, own, n, language }: Said): Block[] {
  if (sampling === null) return [];
  const { plan, choice, verdict } = sampling;
  const word = {
    accept: 'pass',
    reject: 'fail',
    undecided: 'undecided',
    'more-dice': 'undecided',
    'no-limits': null,
  } as const;
  return [
    {
      kind: 'verdict',
      verdict: word[verdict],
      word: words.lotVerdicts[verdict],
      text: `${own.sampling.counted(sampling.inspected, sampling.outside, sampling.undecided)} ${own.sampling.plan(choice.level, NUMBERS[language].short(choice.aql), choice.lotSize, plan.sample, plan.letter, plan.usedLetter === plan.letter ? null : plan.usedLetter, plan.accept, plan.reject)}`,
    },
    {
      kind: 'figure',
      caption: own.sampling.curve,
      about: own.sampling.curveAbout(n.fixed(100 * sampling.producer, 2), n.fixed(100 * sampling.buyer, 2)),
      drawing: curveFigure(sampling, WIDTH, language),
    },
  ];
}

const interval = (e: Estimate, { words }: Said, as: (x: number) => string): string =>
  words.range(as(e.low), as(e.high));

function spreadBlocks({ lot, analysis }: LotReportInput, said: Said): Block[] {
  const { own, n, key, language } = said;
  const um = (x: number): string => n.fixed(1000 * x, 1);
  const row = (s: Summary): string[] => [
    key(s.key),
    n.fixed(s.mean.value, 4),
    interval(s.mean, said, (v) => n.fixed(v, 4)),
    s.spread ? um(s.spread.value) : '',
    s.spreadWithout === null ? '' : um(s.spreadWithout),
    s.trend ? n.fixed(s.trend.tau, 2) : '',
    s.trend ? n.p(s.trend.pAll) : '',
  ];
  return [
    heading(2, own.spread.heading),
    {
      kind: 'figure',
      caption: own.spread.caption,
      about: analysis.summaries
        .filter((s) => s.family === 'axes')
        .map((s) => own.spread.about(key(s.key), n.mm(s.mean.value)))
        .join('; '),
      drawing: axesSpreadFigure(lot, WIDTH, language),
    },
    table(own.spread.table, own.spread.head, analysis.summaries.map(row), true),
  ];
}

function componentBlocks({ analysis }: LotReportInput, { words, own, n, language }: Said): Block[] {
  return [
    heading(2, own.components.heading),
    ...FAMILIES.flatMap((family): Block[] => {
      const found = analysis.components[family];
      if (!found) return [];
      return [
        {
          kind: 'figure',
          caption: own.components.caption(words.families[family], n.um(found.repeatedDifference)),
          about: found.components.map((c) => `${words.sources[c.source]}: ${n.percent(c.share)}`).join('; '),
          drawing: componentsFigure(found, WIDTH, language),
        },
      ];
    }),
  ];
}

function courseBlocks({ lot, analysis }: LotReportInput, { own, key, language }: Said): Block[] {
  return [
    heading(2, own.course.heading),
    ...analysis.finishing.flatMap((course): Block[] => {
      const what = key(course.key);
      const over = course.by === 'time' ? own.course.overTime(visible(lot.timeUnit)) : own.course.overOrder;
      const limits = Object.values(lot.limits[course.key as 'meanAxis']).filter((l): l is number => l !== null);
      const chart = chartFigure(course, WIDTH, language);
      return [
        heading(3, what),
        {
          kind: 'figure',
          caption: own.course.caption(what, over, course.followed),
          about: own.course.about(course.values.length),
          drawing: courseFigure(course, limits, WIDTH, language),
        },
        ...(chart === null
          ? []
          : [
              {
                kind: 'figure' as const,
                caption: own.course.chart(course.followed),
                about: own.course.marks(course.chart!.signals.length + course.chart!.rangeSignals.length),
                drawing: chart,
              },
            ]),
      ];
    }),
  ];
}

function capabilityBlocks({ analysis }: LotReportInput, said: Said): Block[] {
  const { own, n, key } = said;
  const two = (x: number): string => n.fixed(x, 2);
  const rows = analysis.summaries.flatMap(({ key: k, capability: c, normality }) =>
    c === null
      ? []
      : [
          [
            key(k),
            c.pp ? two(c.pp.value) : '',
            c.pp ? interval(c.pp, said, two) : '',
            two(c.ppk.value),
            interval(c.ppk, said, two),
            c.ppkWithoutMeasurement === null ? '' : two(c.ppkWithoutMeasurement),
            normality === null ? '' : n.p(normality),
          ],
        ],
  );
  if (rows.length === 0) return [];
  return [heading(2, own.capability.heading), table(own.capability.caption, own.capability.head, rows, true)];
}

function cavityBlocks({ analysis: { cavities } }: LotReportInput, { own, n, key }: Said): Block[] {
  if (cavities.length === 0) return [];
  return [
    heading(2, own.cavities.heading),
    table(
      own.cavities.caption,
      own.cavities.head,
      cavities.map((c) => [
        key(c.key),
        n.fixed(1000 * c.largest, 1),
        n.percent(c.effect),
        n.p(c.anova.p),
        c.welch ? n.p(c.welch.p) : '',
        c.kruskal ? n.p(c.kruskal.p) : '',
        n.p(c.p),
      ]),
      true,
    ),
  ];
}

function diceBlocks({ lot, analysis }: LotReportInput, { words, own, n, key, language }: Said): Block[] {
  const verdicts = new Map(analysis.conformity?.dice.map((d) => [d.label, d]) ?? []);
  return [
    heading(2, own.dice.heading),
    table(
      own.dice.caption,
      own.dice.head(visible(lot.timeUnit)),
      lot.dice.map((d) => {
        const v = verdicts.get(d.label);
        return [
          visible(d.label),
          d.cavity === null ? '' : String(d.cavity),
          d.time === null ? '' : NUMBERS[language].short(d.time),
          n.fixed(d.meanAxis.value, 4),
          n.fixed(d.rangeOfAxes.value, 4),
          n.fixed(d.meanCornerRadius.value, 4),
          v
            ? `${words.dieVerdicts[v.verdict]}${v.because.length > 0 ? `: ${v.because.slice(0, 2).map(key).join(', ')}` : ''}`
            : '',
        ];
      }),
      true,
    ),
  ];
}

const methodBlocks = ({ own: { method } }: Said): Block[] => [
  heading(2, method.heading),
  ...method.texts.map((t) => text(t, true)),
];
