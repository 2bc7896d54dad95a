import { keyWords, LOT_WORDS, type Numbers } from '../../lots/lot-words.ts';
import { decimal, micrometres, percent, withUnit } from '../kit/format.ts';
import type { ClassName } from '../../judging/tolerance.ts';
import { reader, type Catalogue } from '../kit/catalogue.ts';

const en = {
  heading: 'Lot',
  about:
    'Dice from one source, judged together: what repeats on every die comes from the mould, what scatters from the finishing, and what the measurement adds is taken off.',
  empty: 'No dice yet. Measure dice one by one and add each, or open results or a lot file.',
  addMeasured: 'Add the measured die',
  open: 'Open results or a lot file',
  demo: 'Show an invented lot',
  save: 'Save lot file',
  startAgain: 'New lot',
  undo: 'Undo',
  redo: 'Redo',
  taken: (n: number) => (n === 1 ? '1 die taken.' : `${n} dice taken.`),
  fault: (file: string, why: string) => `${file}: ${why}. Nothing of it was taken; the lot stays as it was.`,
  faultAdvice: 'Mend the place named, or choose another file.',
  otherKind: (seen: string, needed: string) => `a ${seen}, the lot holds ${needed}`,
  others: {
    heading: (n: number) => (n === 1 ? '1 other lot is kept' : `${n} other lots are kept`),
    unnamed: 'Lot without a name',
    dice: (n: number) => (n === 1 ? '1 die' : `${n} dice`),
    open: (name: string) => `Open “${name}”`,
  },
  tooMany: (most: string) => `a lot holds ${most} dice at most`,
  notMeasured: (code: string) => `its die was not measured (${code})`,

  dice: {
    heading: 'Dice',
    table: 'Table of the dice',
    name: 'Name of the lot',
    note: 'Note',
    unit: 'Unit of time or passes',
    size: 'Dice in the whole lot',
    sizeWrong: 'A whole number from 2, or nothing.',
    order:
      'The order is that of making: charts and trends follow it where no times are given. Dice measured with one card share what that card is wrong by; name the cards where there were several.',
    label: 'Die',
    cavity: 'Cavity',
    time: (unit: string) => `Tumbled, ${unit}`,
    card: 'Card',
    cardOf: (label: string) => `Card of ${label}`,
    verdict: 'Limits',
    use: 'Counts',
    useDie: (label: string) => `${label} counts`,
    cavityOf: (label: string) => `Cavity of ${label}`,
    timeOf: (label: string) => `Tumbling of ${label}`,
    labelOf: (label: string) => `Name of ${label}`,
    up: (label: string) => `${label} one place up`,
    down: (label: string) => `${label} one place down`,
    remove: (label: string) => `Remove ${label}`,
    more: (n: number) => `Show all ${n} dice`,
    count: (used: number, all: number) => (used === all ? `${all} dice` : `${used} of ${all} dice`),
  },
  limits: {
    heading: 'Limits',
    about:
      'In millimetres; an empty field is no limit. A die is outside or within only beyond a guard band of 1.64 standard uncertainties (JCGM 106); between, it is undecided.',
    class: 'Start from a class',
    noClass: 'none',
    classes: {
      strictest: 'machined, strictest',
      machined: 'machined',
      moulded: 'moulded',
      tumbled: 'heavily tumbled',
    } as Record<ClassName, string>,
    classAbout: 'Classes limit the range of axes; they are common practice, without a published source.',
    field: (what: string, side: 'lower' | 'upper') => `${what}, ${side === 'lower' ? 'at least' : 'at most'}`,
    wrong: 'A length in mm is needed, the lower below the upper.',
  },
  findings: {
    heading: 'What the lot tells',
    leave: (labels: string) => `Leave out ${labels}`,
  },
  spread: {
    heading: 'Mean and spread',
    title: 'Each axis of each die, from the mean of all',
    about: (parts: string) => `Lot mean and spread of each axis, from the mean of all axes. ${parts}.`,
    part: (name: string, mean: string, s: string) => `${name}: ${mean}, standard deviation ${s}`,
    key: '○ a die; bar: mean of the lot, ± one standard deviation',
    table: 'All quantities as a table',
    tableAbout:
      "Mean with its interval at 95 %, which holds what the measurement adds to every die; standard deviation s, and without the measurement's own; Kendall's tau along the order, with p over all quantities tried (Holm).",
    columns: ['Quantity', 'Mean, mm', '95 %, mm', 's, µm', 'without', 'tau', 'p'],
  },
  components: {
    heading: 'Mould, finishing, measurement',
    of: 'Of',
    title: (family: string) => `Where the variance of the ${family} comes from`,
    axis: 'standard deviation, µm, with 95 % interval',
    about: (title: string, parts: string) => `${title}. ${parts}.`,
    part: (name: string, value: string, low: string, high: string, share: string) =>
      `${name}: ${value} (${low} to ${high}), ${share}`,
    repeated: (u: string) =>
      `What the measurement adds to every die alike (${u}, standard uncertainty) scatters nothing: it moves the mean, and a pattern no larger than it is not the mould's.`,
    none: 'Two dice or more are needed, and more dice than cavities.',
    how: 'Analysis of variance; intervals at 95 %: mould by the noncentral F, scatter and size by chi-square after the known variance of the measurement was taken off (Satterthwaite).',
  },
  control: {
    heading: 'Finishing control',
    quantity: 'Quantity',
    individuals: (what: string) => `${what}, die by die`,
    residuals: (what: string) => `${what}: distance from the fitted trend`,
    ranges: 'Moving range',
    limits: 'Control limits tell what the process does (centre ± 2.66 mean moving ranges), not what is allowed.',
    trendTitle: (what: string, unit: string) => `${what} over tumbling (${unit})`,
    trendOrder: (what: string) => `${what} along the order`,
    about: (title: string, n: number, marked: string) => `${title}: ${n} points; marked: ${marked}.`,
    none: 'none',
    signals: 'Marked points',
    signal: (label: string, rule: string) => `${label}: ${rule}`,
    range: 'range to the one before beyond its limit',
    trend: (slope: string, low: string, high: string, unit: string) =>
      `Slope at the end: ${slope} (${low} to ${high}) per ${unit}.`,
    noTrend: 'No trend can be told (p of its slope 0.01 or more).',
    noFit: (why: string) => `No trend fitted: ${why}.`,
    crossing: (limit: string, time: string, low: string, high: string, unit: string) =>
      `Limit ${limit} is met at ${time} (${low} to ${high}) ${unit}.`,
    never: 'no time in reach',
    open: 'open',
    beyond: 'This lies beyond the times measured, and presumes that things go on alike.',
    few: 'Two dice that differ are needed.',
    die: 'die',
    band: 'band: mean of the fit, 95 %',
  },
  capability: {
    heading: 'Capability',
    about:
      'Pp and Ppk compare the limits with the spread of this lot (three standard deviations on each side). They presume values that are distributed normally.',
    none: 'Give limits to have the spread compared with them.',
    columns: ['Quantity', 'Pp', '95 %', 'Ppk', '95 %', 'without measurement', 'normal, p'],
    caption: 'Capability against the limits',
  },
  cavities: {
    heading: 'Cavities',
    none: 'Give each die the number of its cavity, two cavities at least, to have them compared.',
    about:
      "Equal means tested by Welch's test; p raised for the number of quantities tried (Holm). Share: of the variance, made by cavities (omega squared).",
    columns: ['Quantity', 'Largest difference, µm', 'Share', 'F', 'Welch', 'Kruskal-Wallis', 'p (Holm)'],
    caption: 'Tests of equal means',
    means: 'Mean of each cavity, mm',
    cavity: (n: number) => `Cavity ${n}`,
    quantity: 'Quantity',
    differs: 'differs',
  },
  verdict: {
    noSize: 'No verdict on the lot yet',
    noLimits: 'Say under "Dice" what the dice are held to; until then nothing can be outside.',
    counted: (dice: string, outside: string, undecided: string) =>
      `Of ${dice} dice ${outside} are outside and ${undecided} undecided. Say under "Dice" how many dice the whole lot has.`,
    rule: (sample: string, accept: string) => `The plan inspects ${sample} and accepts ${accept} outside at most.`,
  },

  sampling: {
    heading: 'Acceptance sampling',
    about:
      'Single sampling by attributes after ISO 2859-1, normal inspection. The dice must be drawn at random from the lot, before anything is known of them. Tightened and reduced inspection and their switching rules are not in here.',
    aql: 'AQL, %',
    level: 'Level',
    needSize: 'Say under "Dice" how many dice the whole lot has.',
    plan: (letter: string, used: string, sample: string, accept: string, reject: string) =>
      `Code letter ${letter}${used === letter ? '' : ` (by the table's arrow: plan of ${used})`}: inspect ${sample}, accept with ${accept} or fewer outside, reject with ${reject} or more.`,
    whole: 'That is the whole lot.',
    count: (inspected: string, outside: string, undecided: string) =>
      `${inspected} inspected, ${outside} outside, ${undecided} undecided.`,
    risks: (producer: string, buyer: string) =>
      `A lot with ${producer} outside is accepted 95 times in 100, one with ${buyer} 10 times in 100.`,
    curve: 'Operating characteristic: chance of acceptance by share outside',
    curveAbout: (parts: string) => `Operating characteristic. ${parts}.`,
    curvePart: (share: string, accepted: string) => `${share} outside: ${accepted}`,
    share: 'outside in the lot, %',
    accepted: 'accepted, %',
  },
  report: {
    heading: 'Report and files',
    about: 'The lot file can be opened here again and by the command line.',
    json: 'Analysis (JSON)',
    csv: 'Table (CSV)',
    html: 'Report (HTML)',
    pdf: 'Report (PDF)',
    making: 'Making the report',
    fault: 'The report could not be made. Load the page again and try once more.',
  },
};

const de: typeof en = {
  heading: 'Los',
  about:
    'Würfel aus einer Quelle, gemeinsam beurteilt: was sich auf jedem Würfel wiederholt, kommt aus der Form, was streut, aus der Nacharbeit; was die Messung beiträgt, wird abgezogen.',
  empty: 'Noch keine Würfel. Würfel einzeln messen und hinzufügen, oder Ergebnisse oder eine Losdatei öffnen.',
  addMeasured: 'Gemessenen Würfel hinzufügen',
  open: 'Ergebnisse oder Losdatei öffnen',
  demo: 'Erfundenes Los zeigen',
  save: 'Losdatei speichern',
  startAgain: 'Neues Los',
  undo: 'Rückgängig',
  redo: 'Wiederholen',
  taken: (n) => (n === 1 ? '1 Würfel übernommen.' : `${n} Würfel übernommen.`),
  fault: (file, why) => `${file}: ${why}. Nichts davon wurde übernommen; das Los bleibt, wie es war.`,
  faultAdvice: 'Die genannte Stelle berichtigen oder eine andere Datei wählen.',
  otherKind: (seen, needed) => `ein ${seen}, das Los enthält ${needed}`,
  others: {
    heading: (n) => (n === 1 ? '1 weiteres Los ist aufbewahrt' : `${n} weitere Lose sind aufbewahrt`),
    unnamed: 'Los ohne Namen',
    dice: (n) => (n === 1 ? '1 Würfel' : `${n} Würfel`),
    open: (name) => `„${name}“ öffnen`,
  },
  tooMany: (most) => `ein Los fasst höchstens ${most} Würfel`,
  notMeasured: (code) => `der Würfel wurde nicht gemessen (${code})`,

  dice: {
    heading: 'Würfel',
    table: 'Tabelle der Würfel',
    name: 'Name des Loses',
    note: 'Bemerkung',
    unit: 'Einheit von Zeit oder Durchgängen',
    size: 'Würfel im ganzen Los',
    sizeWrong: 'Eine ganze Zahl ab 2, oder nichts.',
    order:
      'Die Reihenfolge ist die der Herstellung: Karten und Trends folgen ihr, wo keine Zeiten angegeben sind. Mit einer Karte gemessene Würfel teilen deren Fehler; bei mehreren Karten diese benennen.',
    label: 'Würfel',
    cavity: 'Kavität',
    time: (unit) => `Getrommelt, ${unit}`,
    card: 'Karte',
    cardOf: (label) => `Karte von ${label}`,
    verdict: 'Grenzen',
    use: 'Zählt',
    useDie: (label) => `${label} zählt`,
    cavityOf: (label) => `Kavität von ${label}`,
    timeOf: (label) => `Trommeln von ${label}`,
    labelOf: (label) => `Name von ${label}`,
    up: (label) => `${label} einen Platz hinauf`,
    down: (label) => `${label} einen Platz hinunter`,
    remove: (label) => `${label} entfernen`,
    more: (n) => `Alle ${n} Würfel zeigen`,
    count: (used, all) => (used === all ? `${all} Würfel` : `${used} von ${all} Würfeln`),
  },
  limits: {
    heading: 'Grenzen',
    about:
      'In Millimetern; ein leeres Feld ist keine Grenze. Ein Würfel liegt nur jenseits eines Schutzabstands von 1,64 Standardunsicherheiten innerhalb oder außerhalb (JCGM 106); dazwischen ist er unentschieden.',
    class: 'Von einer Klasse ausgehen',
    noClass: 'keine',
    classes: {
      strictest: 'gefräst, strengste',
      machined: 'gefräst',
      moulded: 'gespritzt',
      tumbled: 'stark getrommelt',
    },
    classAbout: 'Klassen begrenzen die Spannweite der Achsen; sie sind gängige Praxis, ohne veröffentlichte Quelle.',
    field: (what, side) => `${what}, ${side === 'lower' ? 'mindestens' : 'höchstens'}`,
    wrong: 'Eine Länge in mm ist nötig, die untere unter der oberen.',
  },
  findings: {
    heading: 'Was das Los sagt',
    leave: (labels) => `Ohne ${labels}`,
  },
  spread: {
    heading: 'Mittelwert und Streuung',
    title: 'Jede Achse jedes Würfels, vom Mittel aller',
    about: (parts) => `Mittelwert und Streuung jeder Achse im Los, vom Mittel aller Achsen. ${parts}.`,
    part: (name, mean, s) => `${name}: ${mean}, Standardabweichung ${s}`,
    key: '○ ein Würfel; Balken: Mittel des Loses, ± eine Standardabweichung',
    table: 'Alle Größen als Tabelle',
    tableAbout:
      'Mittelwert mit seinem Intervall zu 95 %, das enthält, was die Messung jedem Würfel beifügt; Standardabweichung s, und ohne die der Messung; Kendalls Tau entlang der Reihenfolge, mit p über alle geprüften Größen (Holm).',
    columns: ['Größe', 'Mittel, mm', '95 %, mm', 's, µm', 'ohne', 'Tau', 'p'],
  },
  components: {
    heading: 'Form, Nacharbeit, Messung',
    of: 'Von',
    title: (family) => `Woher die Varianz kommt: ${family}`,
    axis: 'Standardabweichung, µm, mit Intervall zu 95 %',
    about: (title, parts) => `${title}. ${parts}.`,
    part: (name, value, low, high, share) => `${name}: ${value} (${low} bis ${high}), ${share}`,
    repeated: (u) =>
      `Was die Messung jedem Würfel gleich beifügt (${u}, Standardunsicherheit), streut nicht: es verschiebt das Mittel, und ein Muster, das nicht größer ist, ist nicht das der Form.`,
    none: 'Zwei Würfel oder mehr sind nötig, und mehr Würfel als Kavitäten.',
    how: 'Varianzanalyse; Intervalle zu 95 %: Form nach der nichtzentralen F-Verteilung, Streuung und Größe nach Chi-Quadrat, nachdem die bekannte Varianz der Messung abgezogen wurde (Satterthwaite).',
  },
  control: {
    heading: 'Überwachung der Nacharbeit',
    quantity: 'Größe',
    individuals: (what) => `${what}, Würfel für Würfel`,
    residuals: (what) => `${what}: Abstand vom angepassten Trend`,
    ranges: 'Gleitende Spannweite',
    limits:
      'Eingriffsgrenzen sagen, was der Vorgang tut (Mitte ± 2,66 mittlere gleitende Spannweiten), nicht, was erlaubt ist.',
    trendTitle: (what, unit) => `${what} über dem Trommeln (${unit})`,
    trendOrder: (what) => `${what} entlang der Reihenfolge`,
    about: (title, n, marked) => `${title}: ${n} Punkte; markiert: ${marked}.`,
    none: 'keine',
    signals: 'Markierte Punkte',
    signal: (label, rule) => `${label}: ${rule}`,
    range: 'Spannweite zum vorigen jenseits ihrer Grenze',
    trend: (slope, low, high, unit) => `Steigung am Ende: ${slope} (${low} bis ${high}) je ${unit}.`,
    noTrend: 'Kein Trend erkennbar (p der Steigung 0,01 oder mehr).',
    noFit: (why) => `Kein Trend angepasst: ${why}.`,
    crossing: (limit, time, low, high, unit) =>
      `Grenze ${limit} wird erreicht bei ${time} (${low} bis ${high}) ${unit}.`,
    never: 'keiner Zeit in Reichweite',
    open: 'offen',
    beyond: 'Das liegt jenseits der gemessenen Zeiten und setzt voraus, dass es so weitergeht.',
    few: 'Zwei Würfel, die sich unterscheiden, sind nötig.',
    die: 'Würfel',
    band: 'Band: Mittel der Anpassung, 95 %',
  },
  capability: {
    heading: 'Fähigkeit',
    about:
      'Pp und Ppk vergleichen die Grenzen mit der Streuung dieses Loses (drei Standardabweichungen nach jeder Seite). Sie setzen normalverteilte Werte voraus.',
    none: 'Grenzen angeben, damit die Streuung mit ihnen verglichen wird.',
    columns: ['Größe', 'Pp', '95 %', 'Ppk', '95 %', 'ohne Messung', 'normal, p'],
    caption: 'Fähigkeit gegen die Grenzen',
  },
  cavities: {
    heading: 'Kavitäten',
    none: 'Jedem Würfel die Nummer seiner Kavität geben, mindestens zwei Kavitäten, damit sie verglichen werden.',
    about:
      'Gleiche Mittelwerte nach dem Test von Welch; p für die Zahl der geprüften Größen erhöht (Holm). Anteil: der Varianz, den die Kavitäten ausmachen (Omega-Quadrat).',
    columns: ['Größe', 'Größter Unterschied, µm', 'Anteil', 'F', 'Welch', 'Kruskal-Wallis', 'p (Holm)'],
    caption: 'Prüfung auf gleiche Mittelwerte',
    means: 'Mittel jeder Kavität, mm',
    cavity: (n) => `Kavität ${n}`,
    quantity: 'Größe',
    differs: 'verschieden',
  },
  verdict: {
    noSize: 'Noch kein Urteil über das Los',
    noLimits: 'Sagen Sie unter „Würfel“, woran die Würfel gemessen werden; bis dahin kann nichts außerhalb liegen.',
    counted: (dice, outside, undecided) =>
      `Von ${dice} Würfeln liegen ${outside} außerhalb, ${undecided} sind unentschieden. Sagen Sie unter „Würfel“, wie viele das ganze Los hat.`,
    rule: (sample, accept) => `Der Plan prüft ${sample} und nimmt höchstens ${accept} außerhalb an.`,
  },

  sampling: {
    heading: 'Annahmestichprobe',
    about:
      'Einfachstichprobe nach Attributen, ISO 2859-1, normale Prüfung. Die Würfel müssen zufällig aus dem Los gezogen sein, bevor man etwas von ihnen weiß. Verschärfte und reduzierte Prüfung und ihre Übergangsregeln sind nicht enthalten.',
    aql: 'AQL, %',
    level: 'Niveau',
    needSize: 'Unter „Würfel“ angeben, wie viele Würfel das ganze Los hat.',
    plan: (letter, used, sample, accept, reject) =>
      `Kennbuchstabe ${letter}${used === letter ? '' : ` (nach dem Pfeil der Tabelle: Plan von ${used})`}: ${sample} prüfen, annehmen bei ${accept} oder weniger außerhalb, zurückweisen bei ${reject} oder mehr.`,
    whole: 'Das ist das ganze Los.',
    count: (inspected, outside, undecided) => `${inspected} geprüft, ${outside} außerhalb, ${undecided} unentschieden.`,
    risks: (producer, buyer) =>
      `Ein Los mit ${producer} außerhalb wird 95-mal in 100 angenommen, eines mit ${buyer} 10-mal in 100.`,
    curve: 'Operationscharakteristik: Annahmewahrscheinlichkeit nach dem Anteil außerhalb',
    curveAbout: (parts) => `Operationscharakteristik. ${parts}.`,
    curvePart: (share, accepted) => `${share} außerhalb: ${accepted}`,
    share: 'außerhalb im Los, %',
    accepted: 'angenommen, %',
  },
  report: {
    heading: 'Bericht und Dateien',
    about: 'Die Losdatei lässt sich hier und von der Befehlszeile wieder öffnen.',
    json: 'Auswertung (JSON)',
    csv: 'Tabelle (CSV)',
    html: 'Bericht (HTML)',
    pdf: 'Bericht (PDF)',
    making: 'Der Bericht entsteht',
    fault: 'Der Bericht konnte nicht erstellt werden. Die Seite neu laden und noch einmal versuchen.',
  },
};

export const LOTS_WORDS: Catalogue<typeof en> = { en, de };
/** Wording of the lots' room. */
export const lotsWords = reader(LOTS_WORDS);
/** Words for what a lot tells, in the language in use. */
export const lotWords = reader(LOT_WORDS);

/** Numbers for sentences, as the reader writes them. */
export const lotNumbers: Numbers = {
  um: (x) => micrometres(x, Math.abs(x) < 0.01 ? 1 : 0),
  mm: (x) => withUnit(decimal(x, 3), 'mm'),
  percent: (x) => percent(x),
  fixed: (x, places) => decimal(x, places),
  p: (x) => (x < 0.001 ? `< ${decimal(0.001, 3)}` : decimal(x, 3)),
};

/** A quantity's key in the language in use. */
export const lotKey = (key: string): string => keyWords(key, lotWords);
