import { PLAIN_NUMBERS, type Numbers } from '../../lots/lot-words.ts';
import type { Catalogue } from '../../text/language.ts';
import { germanNumbers } from '../../text/notes.ts';

const en = {
  title: (number: string) => `Lot report ${number}`,
  foot: (number: string, date: string) => `Evencast lot report ${number}, ${date}`,
  page: (page: number, of: number) => `Page ${page} of ${of}`,
  save: 'Save the lot file (JSON)',
  attached: 'The lot (evencast-lot/1)',
  identity: {
    lot: 'Lot',
    noName: 'without a name',
    kind: 'Kind',
    measured: 'Dice measured',
    leftOut: 'Left out by hand',
    size: 'Dice in the lot',
    notSaid: 'not said',
    reportedOn: 'Reported on',
  },
  limits: {
    caption: 'Limits in mm',
    head: ['Quantity', '#at least', '#at most'] as readonly string[],
    none: 'none',
  },
  sampling: {
    counted: (inspected: number, outside: number, undecided: number) =>
      `${inspected} inspected, ${outside} outside, ${undecided} undecided.`,
    plan: (
      level: string,
      aql: string,
      lotSize: number,
      sample: number,
      letter: string,
      used: string | null,
      accept: number,
      reject: number,
    ) =>
      `ISO 2859-1, single sampling, normal inspection, level ${level}, AQL ${aql}: of ${lotSize} dice inspect ${sample} (code letter ${letter}${used === null ? '' : `, plan of ${used}`}), accept with ${accept} outside or fewer, reject with ${reject} or more.`,
    curve: 'Operating characteristic: chance of acceptance in %, by % of dice outside the limits in the lot.',
    curveAbout: (producer: string, buyer: string) =>
      `Accepted 95 times in 100 with ${producer} % outside, 10 times in 100 with ${buyer} %.`,
  },
  tells: 'What the lot tells',
  spread: {
    heading: 'Mean and spread',
    caption: 'Each axis of each die (rings), from the mean of all axes, in \u00b5m; strokes: mean of the lot.',
    about: (key: string, mean: string) => `${key}: mean ${mean}`,
    table:
      "Mean in mm with its interval at 95 %; standard deviation s in \u00b5m, and without the measurement's own; Kendall's tau along the order with p over all quantities",
    head: ['Quantity', '#Mean', '#95 %', '#s', '#without', '#tau', '#p'] as readonly string[],
  },
  components: {
    heading: 'Mould, finishing, measurement',
    caption: (family: string, repeated: string) =>
      `Where the variance of the ${family} comes from: standard deviation in \u00b5m with its interval at 95 %, share of the sum. What repeats on every die of one card (${repeated}) scatters nothing.`,
  },
  course: {
    heading: 'Finishing control',
    overTime: (unit: string) => `over tumbling (${unit})`,
    overOrder: 'along the order',
    caption: (what: string, over: string, followed: boolean) =>
      `${what} in mm ${over}${followed ? ', with fitted trend and its 95 % band' : ': no trend can be told'}; dashed: limits.`,
    about: (dice: number) => `${dice} dice.`,
    chart: (followed: boolean) =>
      `Control chart of individuals, \u00b5m${followed ? ', distances from the trend' : ''}; dashed: control limits; squares: marked.`,
    marks: (count: number) => `${count} marks.`,
  },
  capability: {
    heading: 'Capability',
    caption: 'Pp and Ppk of the lot as it is, with intervals at 95 %; p of normal values',
    head: ['Quantity', '#Pp', '#95 %', '#Ppk', '#95 %', '#without measurement', '#normal, p'] as readonly string[],
  },
  cavities: {
    heading: 'Cavities',
    caption:
      "Largest difference in \u00b5m, share of the variance; p of the analysis of variance, of Welch's and of Kruskal and Wallis' tests; p over all quantities (Holm)",
    head: ['Quantity', '#Largest', '#Share', '#F', '#Welch', '#Kruskal-Wallis', '#p'] as readonly string[],
  },
  dice: {
    heading: 'Dice',
    caption:
      'Lengths in mm; verdict beyond a guard band of 1.64 standard uncertainties, on the range by joint draws of all axes at the same risk',
    head: (unit: string): readonly string[] => [
      'Die',
      '#Cavity',
      `#Tumbled, ${unit}`,
      '#Mean axis',
      '#Range',
      '#Mean radius',
      'Limits',
    ],
  },
  method: {
    heading: 'Method',
    texts: [
      "Components of variance: analysis of variance of each length after its die's mean was taken out; the measurement's own variance, from each die's uncertainty budget, is taken off as known. Intervals at 95 %: mould by the noncentral F distribution, scatter and size by chi-square, with Satterthwaite's degrees of freedom where estimates meet. What repeats with card, camera and light is the same on every die and no part of the scatter; it widens the mean's interval and the least pattern that can be told.",
      "Outliers: generalised extreme studentised deviate (Rosner 1983; Grubbs' test in lots under 15 dice), 5 % over all quantities tried. Trends: Mann and Kendall; least squares, a parabola where the bend's p is under 0.01; crossing of a limit by inverse regression (Fieller 1954). Control charts: individuals and moving ranges, limits at 3 mean ranges over 1.128; Western Electric rules. Capability: Pp by chi-square, Ppk after Bissell (1990). Cavities: Welch (1951), Kruskal and Wallis (1952), Holm (1979).",
    ] as readonly string[],
  },
};

const de: typeof en = {
  title: (number) => `Losbericht ${number}`,
  foot: (number, date) => `Evencast-Losbericht ${number}, ${date}`,
  page: (page, of) => `Seite ${page} von ${of}`,
  save: 'Losdatei sichern (JSON)',
  attached: 'Das Los (evencast-lot/1)',
  identity: {
    lot: 'Los',
    noName: 'ohne Namen',
    kind: 'Art',
    measured: 'Gemessen',
    leftOut: 'Weggelassen',
    size: 'Würfel im Los',
    notSaid: 'nicht angegeben',
    reportedOn: 'Bericht vom',
  },
  limits: { caption: 'Grenzen in mm', head: ['Größe', '#mindestens', '#höchstens'], none: 'keine' },
  sampling: {
    counted: (inspected, outside, undecided) =>
      `${inspected} geprüft, ${outside} außerhalb, ${undecided} unentschieden.`,
    plan: (level, aql, lotSize, sample, letter, used, accept, reject) =>
      `ISO 2859-1, Einfach-Stichprobe, normale Prüfung, Niveau ${level}, AQL ${aql}: von ${lotSize} Würfeln ${sample} prüfen (Kennbuchstabe ${letter}${used === null ? '' : `, Plan von ${used}`}), annehmen bei höchstens ${accept} außerhalb, zurückweisen ab ${reject}.`,
    curve: 'Annahmekennlinie: Wahrscheinlichkeit der Annahme in % über dem Anteil der Würfel außerhalb im Los in %.',
    curveAbout: (producer, buyer) =>
      `95-mal von 100 angenommen bei ${producer} % außerhalb, 10-mal von 100 bei ${buyer} %.`,
  },
  tells: 'Was das Los sagt',
  spread: {
    heading: 'Mittel und Streuung',
    caption: 'Jede Achse jedes Würfels (Ringe), vom Mittel aller Achsen, in \u00b5m; Striche: Mittel des Loses.',
    about: (key, mean) => `${key}: Mittel ${mean}`,
    table:
      'Mittel in mm mit seinem Intervall zu 95 %; Standardabweichung s in \u00b5m, und ohne die der Messung; Kendalls Tau entlang der Reihenfolge mit p über alle Größen',
    head: ['Größe', '#Mittel', '#95 %', '#s', '#ohne', '#Tau', '#p'],
  },
  components: {
    heading: 'Form, Nacharbeit, Messung',
    caption: (family, repeated) =>
      `Woher die Varianz kommt (${family}): Standardabweichung in \u00b5m mit ihrem Intervall zu 95 %, Anteil an der Summe. Was sich auf jedem Würfel einer Karte wiederholt (${repeated}), streut nicht.`,
  },
  course: {
    heading: 'Lenkung der Nacharbeit',
    overTime: (unit) => `über der Trommelzeit (${unit})`,
    overOrder: 'entlang der Reihenfolge',
    caption: (what, over, followed) =>
      `${what} in mm ${over}${followed ? ', mit angepasstem Gang und seinem Band zu 95 %' : ': ein Gang ist nicht zu erkennen'}; gestrichelt: Grenzen.`,
    about: (dice) => `${dice} Würfel.`,
    chart: (followed) =>
      `Regelkarte der Einzelwerte, \u00b5m${followed ? ', Abstände vom Gang' : ''}; gestrichelt: Eingriffsgrenzen; Quadrate: markiert.`,
    marks: (count) => `${count} markiert.`,
  },
  capability: {
    heading: 'Fähigkeit',
    caption: 'Pp und Ppk des Loses, wie es ist, mit Intervallen zu 95 %; p normalverteilter Werte',
    head: ['Größe', '#Pp', '#95 %', '#Ppk', '#95 %', '#ohne Messung', '#Verteilung, p'],
  },
  cavities: {
    heading: 'Kavitäten',
    caption:
      'Größter Unterschied in \u00b5m, Anteil an der Varianz; p der Varianzanalyse, der Tests nach Welch und nach Kruskal und Wallis; p über alle Größen (Holm)',
    head: ['Größe', '#Größter', '#Anteil', '#F', '#Welch', '#Kruskal-Wallis', '#p'],
  },
  dice: {
    heading: 'Würfel',
    caption:
      'Längen in mm; Urteil jenseits eines Schutzabstands von 1,64 Standardunsicherheiten, bei der Spannweite durch gemeinsame Ziehungen aller Achsen mit demselben Risiko',
    head: (unit) => [
      'Würfel',
      '#Kavität',
      `#Getrommelt, ${unit}`,
      '#Mittlere Achse',
      '#Spannweite',
      '#Mittlerer Radius',
      'Grenzen',
    ],
  },
  method: {
    heading: 'Verfahren',
    texts: [
      'Varianzkomponenten: Varianzanalyse jeder Länge, nachdem das Mittel ihres Würfels abgezogen ist; die Varianz der Messung selbst, aus dem Unsicherheitsbudget jedes Würfels, wird als bekannt abgezogen. Intervalle zu 95 %: Form nach der nichtzentralen F-Verteilung, Streuung und Größe nach Chi-Quadrat, mit Freiheitsgraden nach Satterthwaite, wo Schätzungen zusammenkommen. Was sich mit Karte, Kamera und Licht wiederholt, ist auf jedem Würfel gleich und kein Teil der Streuung; es weitet das Intervall des Mittels und das kleinste erkennbare Muster.',
      'Ausreißer: verallgemeinerte extreme studentisierte Abweichung (Rosner 1983; der Test nach Grubbs bei weniger als 15 Würfeln), 5 % über alle geprüften Größen. Gang: Mann und Kendall; kleinste Quadrate, eine Parabel, wo p der Krümmung unter 0,01 liegt; Erreichen einer Grenze durch umgekehrte Regression (Fieller 1954). Regelkarten: Einzelwerte und gleitende Spannweiten, Grenzen bei 3 mittleren Spannweiten durch 1,128; Regeln von Western Electric. Fähigkeit: Pp nach Chi-Quadrat, Ppk nach Bissell (1990). Kavitäten: Welch (1951), Kruskal und Wallis (1952), Holm (1979).',
    ],
  },
};

/** What a report of a lot says beside what the lot itself tells (`LOT_WORDS`). */
export const LOT_REPORT_WORDS = { en, de } satisfies Catalogue<typeof en>;

/** Numbers of a lot's report by its language. */
export const LOT_NUMBERS: Catalogue<Numbers> = {
  en: PLAIN_NUMBERS,
  de: {
    um: (x) => germanNumbers(PLAIN_NUMBERS.um(x)),
    mm: (x) => germanNumbers(PLAIN_NUMBERS.mm(x)),
    percent: (x) => germanNumbers(PLAIN_NUMBERS.percent(x)),
    fixed: (x, places) => germanNumbers(PLAIN_NUMBERS.fixed(x, places)),
    p: (x) => germanNumbers(PLAIN_NUMBERS.p(x).replace('under', 'unter')),
  },
};
