import type { Acceptance } from '../../lots/acceptance.ts';
import type { LotAnalysis, Summary } from '../../lots/analysis.ts';
import { findings } from '../../lots/findings.ts';
import { FAMILIES, leftOut, LIMITED, type Lot } from '../../lots/lot.ts';
import { keyWords, LOT_WORDS, PLAIN_NUMBERS as n } from '../../lots/lot-words.ts';
import type { Estimate } from '../../lots/moments.ts';
import { heading, table, text, type Block, type Content, type Fact } from '../content/blocks.ts';
import { visible } from '../record/plain-text.ts';
import { axesSpreadFigure, chartFigure, componentsFigure, courseFigure, curveFigure } from './lot-figures.ts';

const words = LOT_WORDS.en;
const key = (k: string): string => visible(keyWords(k, words));
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
}

/** A lot's report, before it takes a form. Whatever was typed is shown as text. */
export function lotContent(input: LotReportInput): Content {
  const { lot, number, reportedOn } = input;
  return {
    title: `Lot report ${number}`,
    number,
    reader: 'lab',
    foot: `Evencast lot report ${number}, ${reportedOn}`,
    blocks: [
      heading(1, `Lot report ${number}`),
      { kind: 'facts', rows: identity(input), columns: 2 },
      ...(lot.note === '' ? [] : [text(visible(lot.note))]),
      ...limitBlocks(input),
      ...verdictBlocks(input),
      heading(2, 'What the lot tells'),
      {
        kind: 'list',
        items: findings(lot, input.analysis).map((f) => visible(words.finding(f, n, key, lot.timeUnit))),
      },
      ...spreadBlocks(input),
      ...componentBlocks(input),
      ...courseBlocks(input),
      ...capabilityBlocks(input),
      ...cavityBlocks(input),
      ...diceBlocks(input),
      ...methodBlocks(),
      { kind: 'caution', text: words.caution },
    ],
  };
}

function identity({ whole, lot, reportedOn }: LotReportInput): Fact[] {
  const out = leftOut(whole, lot);
  return [
    { label: 'Lot', value: visible(lot.name) || 'without a name' },
    { label: 'Kind', value: lot.kind },
    { label: 'Dice measured', value: String(whole.dice.length) },
    ...(out.length > 0 ? [{ label: 'Left out by hand', value: visible(out.join(', ')) }] : []),
    { label: 'Dice in the lot', value: lot.size === null ? 'not said' : String(lot.size) },
    { label: 'Reported on', value: visible(reportedOn) },
  ];
}

function limitBlocks({ lot }: LotReportInput): Block[] {
  const end = (x: number | null): string => (x === null ? 'none' : n.fixed(x, 3));
  const rows = LIMITED.flatMap((of) => {
    const { lower, upper } = lot.limits[of];
    return lower === null && upper === null ? [] : [[words.whole[of], end(lower), end(upper)]];
  });
  return rows.length === 0 ? [] : [table('Limits in mm', ['Quantity', '#at least', '#at most'], rows)];
}

function verdictBlocks({ sampling }: LotReportInput): Block[] {
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
      text: `${sampling.inspected} inspected, ${sampling.outside} outside, ${sampling.undecided} undecided. ISO 2859-1, single sampling, normal inspection, level ${choice.level}, AQL ${choice.aql}: of ${choice.lotSize} dice inspect ${plan.sample} (code letter ${plan.letter}${plan.usedLetter === plan.letter ? '' : `, plan of ${plan.usedLetter}`}), accept with ${plan.accept} outside or fewer, reject with ${plan.reject} or more.`,
    },
    {
      kind: 'figure',
      caption: 'Operating characteristic: chance of acceptance in %, by % of dice outside the limits in the lot.',
      about: `Accepted 95 times in 100 with ${(100 * sampling.producer).toFixed(2)} % outside, 10 times in 100 with ${(100 * sampling.buyer).toFixed(2)} %.`,
      drawing: curveFigure(sampling, WIDTH),
    },
  ];
}

const um = (x: number): string => n.fixed(1000 * x, 1);
const interval = (e: Estimate, as: (x: number) => string): string => words.range(as(e.low), as(e.high));

function spreadBlocks({ lot, analysis }: LotReportInput): Block[] {
  const row = (s: Summary): string[] => [
    key(s.key),
    n.fixed(s.mean.value, 4),
    interval(s.mean, (v) => n.fixed(v, 4)),
    s.spread ? um(s.spread.value) : '',
    s.spreadWithout === null ? '' : um(s.spreadWithout),
    s.trend ? n.fixed(s.trend.tau, 2) : '',
    s.trend ? n.p(s.trend.pAll) : '',
  ];
  return [
    heading(2, 'Mean and spread'),
    {
      kind: 'figure',
      caption: 'Each axis of each die (rings), from the mean of all axes, in \u00b5m; strokes: mean of the lot.',
      about: analysis.summaries
        .filter((s) => s.family === 'axes')
        .map((s) => `${key(s.key)}: mean ${n.mm(s.mean.value)}`)
        .join('; '),
      drawing: axesSpreadFigure(lot, WIDTH),
    },
    table(
      "Mean in mm with its interval at 95 %; standard deviation s in \u00b5m, and without the measurement's own; Kendall's tau along the order with p over all quantities",
      ['Quantity', '#Mean', '#95 %', '#s', '#without', '#tau', '#p'],
      analysis.summaries.map(row),
      true,
    ),
  ];
}

function componentBlocks({ analysis }: LotReportInput): Block[] {
  return [
    heading(2, 'Mould, finishing, measurement'),
    ...FAMILIES.flatMap((family): Block[] => {
      const found = analysis.components[family];
      if (!found) return [];
      return [
        {
          kind: 'figure',
          caption: `Where the variance of the ${words.families[family]} comes from: standard deviation in \u00b5m with its interval at 95 %, share of the sum. What repeats on every die of one card (${n.um(found.repeatedDifference)}) scatters nothing.`,
          about: found.components.map((c) => `${words.sources[c.source]}: ${n.percent(c.share)}`).join('; '),
          drawing: componentsFigure(found, WIDTH),
        },
      ];
    }),
  ];
}

function courseBlocks({ lot, analysis }: LotReportInput): Block[] {
  return [
    heading(2, 'Finishing control'),
    ...analysis.finishing.flatMap((course): Block[] => {
      const what = key(course.key);
      const over = course.by === 'time' ? `over tumbling (${visible(lot.timeUnit)})` : 'along the order';
      const limits = Object.values(lot.limits[course.key as 'meanAxis']).filter((l): l is number => l !== null);
      const chart = chartFigure(course, WIDTH);
      return [
        heading(3, what),
        {
          kind: 'figure',
          caption: `${what} in mm ${over}${course.followed ? ', with fitted trend and its 95 % band' : ': no trend can be told'}; dashed: limits.`,
          about: `${course.values.length} dice.`,
          drawing: courseFigure(course, limits, WIDTH),
        },
        ...(chart === null
          ? []
          : [
              {
                kind: 'figure' as const,
                caption: `Control chart of individuals, \u00b5m${course.followed ? ', distances from the trend' : ''}; dashed: control limits; squares: marked.`,
                about: `${course.chart!.signals.length + course.chart!.rangeSignals.length} marks.`,
                drawing: chart,
              },
            ]),
      ];
    }),
  ];
}

function capabilityBlocks({ analysis }: LotReportInput): Block[] {
  const two = (x: number): string => n.fixed(x, 2);
  const rows = analysis.summaries.flatMap(({ key: k, capability: c, normality }) =>
    c === null
      ? []
      : [
          [
            key(k),
            c.pp ? two(c.pp.value) : '',
            c.pp ? interval(c.pp, two) : '',
            two(c.ppk.value),
            interval(c.ppk, two),
            c.ppkWithoutMeasurement === null ? '' : two(c.ppkWithoutMeasurement),
            normality === null ? '' : n.p(normality),
          ],
        ],
  );
  if (rows.length === 0) return [];
  return [
    heading(2, 'Capability'),
    table('Pp and Ppk of the lot as it is, with intervals at 95 %; p of normal values', ['Quantity', '#Pp', '#95 %', '#Ppk', '#95 %', '#without measurement', '#normal, p'], rows, true), // prettier-ignore
  ];
}

function cavityBlocks({ analysis: { cavities } }: LotReportInput): Block[] {
  if (cavities.length === 0) return [];
  return [
    heading(2, 'Cavities'),
    table(
      "Largest difference in \u00b5m, share of the variance; p of the analysis of variance, of Welch's and of Kruskal and Wallis' tests; p over all quantities (Holm)",
      ['Quantity', '#Largest', '#Share', '#F', '#Welch', '#Kruskal-Wallis', '#p'],
      cavities.map((c) => [
        key(c.key),
        um(c.largest),
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

function diceBlocks({ lot, analysis }: LotReportInput): Block[] {
  const verdicts = new Map(analysis.conformity?.dice.map((d) => [d.label, d]) ?? []);
  return [
    heading(2, 'Dice'),
    table(
      'Lengths in mm; verdict beyond a guard band of 1.64 standard uncertainties, on the range by joint draws of all axes at the same risk',
      ['Die', '#Cavity', `#Tumbled, ${visible(lot.timeUnit)}`, '#Mean axis', '#Range', '#Mean radius', 'Limits'],
      lot.dice.map((d) => {
        const v = verdicts.get(d.label);
        return [
          visible(d.label),
          d.cavity === null ? '' : String(d.cavity),
          d.time === null ? '' : String(d.time),
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

const methodBlocks = (): Block[] => [
  heading(2, 'Method'),
  text(
    "Components of variance: analysis of variance of each length after its die's mean was taken out; the measurement's own variance, from each die's uncertainty budget, is taken off as known. Intervals at 95 %: mould by the noncentral F distribution, scatter and size by chi-square, with Satterthwaite's degrees of freedom where estimates meet. What repeats with card, camera and light is the same on every die and no part of the scatter; it widens the mean's interval and the least pattern that can be told.",
    true,
  ),
  text(
    "Outliers: generalised extreme studentised deviate (Rosner 1983; Grubbs' test in lots under 15 dice), 5 % over all quantities tried. Trends: Mann and Kendall; least squares, a parabola where the bend's p is under 0.01; crossing of a limit by inverse regression (Fieller 1954). Control charts: individuals and moving ranges, limits at 3 mean ranges over 1.128; Western Electric rules. Capability: Pp by chi-square, Ppk after Bissell (1990). Cavities: Welch (1951), Kruskal and Wallis (1952), Holm (1979).",
    true,
  ),
];
