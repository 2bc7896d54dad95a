import { jsonFaultText } from '../formats/json-text.ts';
import { formatFaultText } from '../text/format-faults.ts';
import type { Source } from './components.ts';
import type { Rule } from './control-chart.ts';
import type { DieVerdict } from './conformity.ts';
import type { Finding } from './findings.ts';
import type { Family, Limited } from './lot.ts';
import type { LotVerdict } from './acceptance.ts';
import type { LotFault } from './read-lot.ts';
import type { PlanFault } from './sampling-plan.ts';
import type { Estimate } from './moments.ts';
import type { TrendFault } from './fitted-trend.ts';

/** How numbers are written: by the reader's language on the page, plainly in files. */
export interface Numbers {
  /** Micrometres of a length in mm, with the unit. */
  um(mm: number): string;
  /** Millimetres with the unit, three places. */
  mm(mm: number): string;
  percent(share: number): string;
  /** So many places. */
  fixed(x: number, places: number): string;
  /** A chance, "under 0.001" where it is less. */
  p(p: number): string;
}

const en = {
  families: { axes: 'axes', corners: 'corner radii', faces: 'face distances' } satisfies Record<Family, string>,
  whole: {
    meanAxis: 'mean axis',
    rangeOfAxes: 'range of axes',
    meanCornerRadius: 'mean corner radius',
    meanCrown: 'mean crown of the faces',
    axis: 'each axis',
    corner: 'each corner radius',
  } satisfies Record<Limited | 'meanCrown', string>,
  member: { axis: 'axis', corner: 'corner', face: 'face' },
  sources: {
    pattern: 'mould: the same pattern on every die',
    'cavity-pattern': 'mould: pattern of each cavity',
    'cavity-size': 'mould: size of each cavity',
    time: 'finishing: tumbling time',
    size: 'size from die to die',
    scatter: 'finishing: scatter from die to die',
    measurement: 'measurement itself',
  } satisfies Record<Source, string>,
  rules: {
    'beyond-3-sigma': 'beyond 3 sigma',
    'two-of-three-beyond-2-sigma': 'two of three beyond 2 sigma',
    'four-of-five-beyond-1-sigma': 'four of five beyond 1 sigma',
    'eight-on-one-side': 'eight on one side',
  } satisfies Record<Rule, string>,
  dieVerdicts: { within: 'within', undecided: 'undecided', outside: 'outside' } satisfies Record<DieVerdict, string>,
  lotVerdicts: {
    accept: 'Accept',
    reject: 'Reject',
    undecided: 'Undecided: it hangs on dice within their doubt of a limit',
    'more-dice': 'More dice are needed for this plan',
    'no-limits': 'No limits are given: nothing can be outside',
  } satisfies Record<LotVerdict, string>,
  planFault: (f: PlanFault): string => {
    switch (f.code) {
      case 'lot-size':
        return `a whole number of dice from 2 is needed, ${f.seen} given`;
      case 'aql':
        return `AQL ${f.seen} is none of the standard's`;
      case 'level':
        return `level ${f.seen}: I, II or III is needed`;
    }
  },
  trendFault: (f: TrendFault): string =>
    f.code === 'one-time' ? `${f.seen} different times, ${f.needed} needed` : `${f.seen} dice, ${f.needed} needed`,
  fileFault: (f: LotFault): string => {
    switch (f.code) {
      case 'wrong':
        return formatFaultText(f, 'en');
      case 'no-json':
        return jsonFaultText(f.why, 'en');
      case 'too-large':
        return `${Math.round(f.seen / 1e6)} MB are more than is read`;
    }
  },
  range: (low: string, high: string): string => `${low} to ${high}`,
  open: 'open',
  finding: (f: Finding, n: Numbers, key: (k: string) => string, timeUnit: string): string => {
    const span = (e: Estimate, as: (x: number) => string): string => `${as(e.value)} (${as(e.low)} to ${as(e.high)})`;
    switch (f.code) {
      case 'few':
        return `${f.dice} dice: intervals are wide; 20 or more tell a lot apart.`;
      case 'twice':
        return `${f.second} has the very numbers of ${f.first}: one measurement given twice? Leave one out.`;
      case 'source':
        return `${f.family === 'axes' ? 'Axes' : 'Corner radii'}: the largest part of their variance, ${n.percent(f.share)}, is ${SOURCE_EN[f.source]}; standard deviation ${span(f.sigma, n.um)}.`;
      case 'scatter-hidden':
        return `${f.family === 'axes' ? 'Axes' : 'Corner radii'}: scatter from die to die is not told from the measurement's own (${n.um(f.u)}); it is at most ${n.um(f.most)}.`;
      case 'no-cavities':
        return 'The dice bear no cavity numbers, or one only: where several cavities are mixed, their patterns count as scatter.';
      case 'outlier':
        return `${f.label} lies apart by its ${key(f.key)} (statistic ${n.fixed(f.statistic, 2)}, critical ${n.fixed(f.critical, 2)}).`;
      case 'outliers-in':
        return 'Dice that lie apart are contained in all numbers; leave them out to see the lot without them.';
      case 'cavities':
        return `Cavities differ by ${key(f.key)}: up to ${n.um(f.largest)}, ${n.percent(f.effect)} of its variance (p ${n.p(f.p)}).`;
      case 'cavity-axes':
        return `Cavities differ in ${f.names.length} of ${f.of} axes (${f.names.join(', ')}): up to ${n.um(f.largest)}.`;
      case 'trend':
        return `${upper(key(f.key))} changes by ${span(f.slope, n.um)} per ${f.by === 'time' ? timeUnit : 'die'} at the end.`;
      case 'crossing':
        return `${upper(key(f.key))} meets its ${f.limit} limit of ${n.mm(f.at)} at ${f.time === null ? 'no time' : n.fixed(f.time, 1)} (${Number.isFinite(f.low) ? n.fixed(f.low, 1) : 'open'} to ${Number.isFinite(f.high) ? n.fixed(f.high, 1) : 'open'}) ${timeUnit}${f.beyondData ? '; beyond the times measured, if things go on alike' : ''}.`;
      case 'signals':
        return `Control chart of ${key(f.key)}: ${f.count} dice are marked.`;
      case 'conformity':
        return `Against the limits: ${f.within} within, ${f.undecided} undecided, ${f.outside} outside.`;
      case 'capability':
        return `${upper(key(f.key))}: Ppk ${span(f.ppk, (x) => n.fixed(x, 2))}, ${f.capable === true ? 'at least the 1.33 that is commonly asked for' : f.capable === false ? 'less than the 1.33 that is commonly asked for' : 'so few dice do not tell whether it reaches the 1.33 that is commonly asked for'}.`;
      case 'not-normal':
        return `${upper(key(f.key))} is not distributed normally (p ${n.p(f.p)}): its Ppk is not to be relied on.`;
    }
  },
  caution:
    'Not for gaming for money: no certificate for regulated play. A lot is judged by the dice that were measured; they must have been drawn at random.',
};

const SOURCE_EN: Record<Source, string> = {
  pattern: "the mould's, the same on every die",
  'cavity-pattern': "the mould's, each cavity's own pattern",
  'cavity-size': "the mould's, each cavity's own size",
  time: 'from tumbling time',
  size: 'the size of whole dice',
  scatter: 'scatter of the finishing',
  measurement: "the measurement's own",
};

const upper = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

const de: typeof en = {
  families: { axes: 'Achsen', corners: 'Eckenradien', faces: 'Flächenabstände' },
  whole: {
    meanAxis: 'mittlere Achse',
    rangeOfAxes: 'Spannweite der Achsen',
    meanCornerRadius: 'mittlerer Eckenradius',
    meanCrown: 'mittlere Wölbung der Flächen',
    axis: 'jede Achse',
    corner: 'jeder Eckenradius',
  },
  member: { axis: 'Achse', corner: 'Ecke', face: 'Fläche' },
  sources: {
    pattern: 'Form: auf jedem Würfel dasselbe Muster',
    'cavity-pattern': 'Form: Muster jeder Kavität',
    'cavity-size': 'Form: Größe jeder Kavität',
    time: 'Nacharbeit: Trommelzeit',
    size: 'Größe von Würfel zu Würfel',
    scatter: 'Nacharbeit: Streuung von Würfel zu Würfel',
    measurement: 'Messung selbst',
  },
  rules: {
    'beyond-3-sigma': 'jenseits von 3 Sigma',
    'two-of-three-beyond-2-sigma': 'zwei von drei jenseits von 2 Sigma',
    'four-of-five-beyond-1-sigma': 'vier von fünf jenseits von 1 Sigma',
    'eight-on-one-side': 'acht auf einer Seite',
  },
  dieVerdicts: { within: 'innerhalb', undecided: 'unentschieden', outside: 'außerhalb' },
  lotVerdicts: {
    accept: 'Annehmen',
    reject: 'Zurückweisen',
    undecided: 'Unentschieden: es hängt an Würfeln, deren Unsicherheit eine Grenze überdeckt',
    'more-dice': 'Für diesen Plan sind mehr Würfel nötig',
    'no-limits': 'Keine Grenzen angegeben: nichts kann außerhalb liegen',
  },
  planFault: (f) => {
    switch (f.code) {
      case 'lot-size':
        return `eine ganze Zahl von Würfeln ab 2 ist nötig, ${f.seen} angegeben`;
      case 'aql':
        return `AQL ${f.seen} gibt es in der Norm nicht`;
      case 'level':
        return `Niveau ${f.seen}: I, II oder III ist nötig`;
    }
  },
  trendFault: (f) =>
    f.code === 'one-time' ? `${f.seen} verschiedene Zeiten, ${f.needed} nötig` : `${f.seen} Würfel, ${f.needed} nötig`,
  fileFault: (f) => {
    switch (f.code) {
      case 'wrong':
        return formatFaultText(f, 'de');
      case 'no-json':
        return jsonFaultText(f.why, 'de');
      case 'too-large':
        return `${Math.round(f.seen / 1e6)} MB sind mehr, als gelesen wird`;
    }
  },
  range: (low, high) => `${low} bis ${high}`,
  open: 'offen',
  finding: (f, n, key, timeUnit) => {
    const span = (e: Estimate, as: (x: number) => string): string => `${as(e.value)} (${as(e.low)} bis ${as(e.high)})`;
    switch (f.code) {
      case 'few':
        return `${f.dice} Würfel: die Intervalle sind weit; erst ab 20 lässt sich ein Los gut beurteilen.`;
      case 'twice':
        return `${f.second} hat genau die Zahlen von ${f.first}: dieselbe Messung zweimal? Eine davon weglassen.`;
      case 'source':
        return `${f.family === 'axes' ? 'Achsen' : 'Eckenradien'}: der größte Teil ihrer Varianz, ${n.percent(f.share)}, kommt ${SOURCE_DE[f.source]}; Standardabweichung ${span(f.sigma, n.um)}.`;
      case 'scatter-hidden':
        return `${f.family === 'axes' ? 'Achsen' : 'Eckenradien'}: die Streuung von Würfel zu Würfel lässt sich von der der Messung (${n.um(f.u)}) nicht trennen; sie ist höchstens ${n.um(f.most)}.`;
      case 'no-cavities':
        return 'Die Würfel tragen keine oder nur eine Kavitätsnummer: sind mehrere Kavitäten gemischt, zählen deren Muster als Streuung.';
      case 'outlier':
        return `${f.label} weicht ab, ${key(f.key)} (Prüfgröße ${n.fixed(f.statistic, 2)}, kritisch ${n.fixed(f.critical, 2)}).`;
      case 'outliers-in':
        return 'Abweichende Würfel sind in allen Zahlen enthalten; ohne sie zeigt sich das übrige Los.';
      case 'cavities':
        return `Kavitäten unterscheiden sich, ${key(f.key)}: bis zu ${n.um(f.largest)}, ${n.percent(f.effect)} der Varianz (p ${n.p(f.p)}).`;
      case 'cavity-axes':
        return `Kavitäten unterscheiden sich in ${f.names.length} von ${f.of} Achsen (${f.names.join(', ')}): bis zu ${n.um(f.largest)}.`;
      case 'trend':
        return `${upper(key(f.key))}: Änderung am Ende ${span(f.slope, n.um)} je ${f.by === 'time' ? timeUnit : 'Würfel'}.`;
      case 'crossing':
        return `${upper(key(f.key))} erreicht die ${f.limit === 'upper' ? 'obere' : 'untere'} Grenze von ${n.mm(f.at)} ${f.time === null ? 'zu keiner Zeit' : `bei ${n.fixed(f.time, 1)}`} (${Number.isFinite(f.low) ? n.fixed(f.low, 1) : 'offen'} bis ${Number.isFinite(f.high) ? n.fixed(f.high, 1) : 'offen'}) ${timeUnit}${f.beyondData ? '; jenseits der gemessenen Zeiten, wenn es so weitergeht' : ''}.`;
      case 'signals':
        return `Regelkarte, ${key(f.key)}: ${f.count} Würfel sind markiert.`;
      case 'conformity':
        return `Gegen die Grenzen: ${f.within} innerhalb, ${f.undecided} unentschieden, ${f.outside} außerhalb.`;
      case 'capability':
        return `${upper(key(f.key))}: Ppk ${span(f.ppk, (x) => n.fixed(x, 2))}, ${f.capable === true ? `mindestens die ${n.fixed(1.33, 2)}, die gemeinhin verlangt werden` : f.capable === false ? `weniger als die ${n.fixed(1.33, 2)}, die gemeinhin verlangt werden` : `ob es die ${n.fixed(1.33, 2)} erreicht, die gemeinhin verlangt werden, sagen so wenige Würfel nicht`}.`;
      case 'not-normal':
        return `${upper(key(f.key))} ist nicht normalverteilt (p ${n.p(f.p)}): auf Ppk ist kein Verlass.`;
    }
  },
  caution:
    'Nicht für Spiele um Geld: kein Zertifikat für geregeltes Spiel. Ein Los wird nach den gemessenen Würfeln beurteilt; sie müssen zufällig gezogen sein.',
};

const SOURCE_DE: Record<Source, string> = {
  pattern: 'aus der Form, auf jedem Würfel gleich',
  'cavity-pattern': 'aus der Form, als eigenes Muster jeder Kavität',
  'cavity-size': 'aus der Form, als eigene Größe jeder Kavität',
  time: 'von der Trommelzeit',
  size: 'von der Größe ganzer Würfel',
  scatter: 'von der Streuung der Nacharbeit',
  measurement: 'von der Messung selbst',
};

export type LotWords = typeof en;
/** Words for what a lot tells, in both languages: for the page, the command line and reports. */
export const LOT_WORDS: { readonly en: LotWords; readonly de: LotWords } = { en, de };

/** A quantity's key in words: "meanAxis", "axis 1-20". */
export function keyWords(key: string, words: LotWords): string {
  if (Object.hasOwn(words.whole, key)) return words.whole[key as Limited];
  const [kind, ...name] = key.split(' ');
  const member = kind !== undefined && Object.hasOwn(words.member, kind) ? words.member[kind as 'axis'] : kind;
  return `${member} ${name.join(' ')}`;
}

/** Numbers as files have them: a point, a true minus, no grouping. */
export const PLAIN_NUMBERS: Numbers = {
  um: (x) => `${fixed(1000 * x, Math.abs(x) < 0.01 ? 1 : 0)} \u00b5m`,
  mm: (x) => `${fixed(x, 3)} mm`,
  percent: (x) => `${fixed(100 * x, 0)} %`,
  fixed: (x, places) => fixed(x, places),
  p: (x) => (x < 0.001 ? 'under 0.001' : fixed(x, 3)),
};

function fixed(x: number, places: number): string {
  const text = x.toFixed(places);
  return (Number(text) === 0 ? text.replace('-', '') : text).replace('-', '\u2212');
}
