import { WHAT_IF_WORDS } from './what-if-words.ts';
import type { TableChoice } from '../../bias/kernel/kernel.ts';
import type { Cause } from '../../bias/kernel/kernel.ts';
import { reader } from '../kit/catalogue.ts';

type Texts<K extends string> = Readonly<Record<K, string>>;

/** Wording of the rolls' room, its log and its faults apart. Numbers arrive as they are to be read. */
const en = {
  heading: 'Rolls',
  source: {
    label: 'Die',
    measured: 'as measured here',
    ideal: (kind: string) => `a true ${kind}, usual size`,
    file: 'Open a result file',
    notJson: (name: string) => `${name} is no result file: it holds no JSON.`,
    about: 'No die is measured yet: look at a true one, or open a result file.',
  },
  table: 'Table',
  tables: {
    unknown: 'unknown (average of the three)',
    wood: 'wood',
    felt: 'felt',
    stone: 'stone or glass',
  } as Texts<TableChoice>,
  notShape: (why: string) => `Nothing can be said about rolls: ${why}.`,
  beyond: (why: string) => `At-once chances do not serve this die: ${why}. It is thrown below instead.`,
  beyondChanged: (why: string) => `At-once chances do not serve the changed die: ${why}. Confirm by throwing.`,
  assumes:
    'Predicted from the shape alone: solid, uniform material and a rigid, level table are assumed. Intervals are at 95 %; they hold the doubt of the shape and of the model.',
  noUncertainty: "The shape comes without uncertainty: intervals hold the model's doubt alone.",

  chart: {
    title: 'Chance of each number',
    equal: (chance: string) => `equal: ${chance}`,
    about: (title: string, equal: string, parts: string) =>
      `${title}, with 95 % interval; equal is ${equal}. ${parts}.`,
    part: (name: string, value: string, low: string, high: string) => `${name}: ${value}, ${low} to ${high}`,
    less: 'less often',
    more: 'more often',
    number: 'Number',
    chance: 'Chance',
    low: 'From',
    high: 'To',
    equalColumn: 'Equal inside',
    inside: 'yes',
    above: 'no, more',
    below: 'no, less',
    key: '● chance, with its 95 % interval',
    reference: (what: string) => `◇ ${what}`,
  },

  causes: {
    summary: 'Where it comes from: causes and doubt of each number',
    about:
      'Change of each chance by each cause alone, in per cent of it, and the standard uncertainty by what the measurement and what the model leave open.',
    names: {
      faces: 'axes, faces',
      rounding: 'uneven rounding',
      mass: 'centre of mass',
      mark: 'mark',
      crown: 'crown',
      trim: 'trimmed edge',
    } as Texts<Cause>,
    measured: 'u, measured',
    model: 'u, model',
    tables: 'u, table',
    kernel: 'u, kernel',
    sampling: 'u, throws',
  },

  meaning: {
    heading: 'What it means',
    even: (equal: string) =>
      `It looks even: every interval holds the equal chance of ${equal}. That is no proof of evenness.`,
    uneven: (name: string, value: string, low: string, high: string, more: boolean, equal: string) =>
      `${name} comes up ${value} of the time (${low} to ${high}), ${more ? 'more' : 'less'} often than the equal ${equal}.`,
    others: (count: number) => `Numbers whose interval leaves the equal chance out: ${count}.`,
    mean: (value: string, low: string, high: string, even: string) =>
      `Mean roll ${value} (${low} to ${high}); an even die has ${even}.`,
    per100: (value: string, low: string, high: string) => `Over 100 rolls that is ${value} points (${low} to ${high}).`,
    extreme: (which: string, value: string, low: string, high: string) => `${which}: ${value} (${low} to ${high}).`,
    highest: (name: string) => `Highest, ${name}`,
    lowest: (name: string) => `Lowest, ${name}`,
    notice: (value: string, range: string) =>
      `A test at the table needs about ${value} rolls (${range}) to notice this 4 times out of 5.`,
    noticeNone: (range: string) =>
      `Nothing that a test at the table could be planned for; if it is uneven after all, it takes ${range} rolls to notice.`,
    range: (low: string, high: string) => `${low} to ${high}`,
    from: (low: string) => `at least ${low}`,
    target: 'Chance of at least',
    targetIs: (value: string, low: string, high: string, even: string) =>
      `${value} (${low} to ${high}); an even die: ${even}`,
  },

  throws: {
    heading: 'Throws',
    about: 'Throws the measured solid, one throw after another, on all cores. The same seed gives the same result.',
    die: 'Die',
    asMeasured: 'as measured',
    asChanged: 'as changed under "What if"',
    count: 'Throws, at most',
    precision: 'Stop when each chance is known to ±',
    precisionUnit: '% of it',
    seed: 'Seed',
    throw: 'Throw',
    cancel: 'Cancel',
    wrongCount: (most: string) => `A whole number from 1 to ${most} is needed.`,
    wrongSeed: (most: string) => `A whole number from 0 to ${most} is needed.`,
    wrongPrecision: 'Empty, or a number from 0.05 to 50.',
    progress: (done: string, all: string) => `${done} of at most ${all} throws`,
    known: (share: string) => `By these throws each chance is known to ±${share} of it.`,
    chart: (throws: string, table: string) => `Chance of each number by ${throws} throws, table: ${table}`,
    cancelled: 'Cancelled; what was thrown until then is shown.',
    tumble: (time: string, path: string) =>
      `From its first touch it tumbles ${time} and ${path} until the outcome is decided.`,
    sharp: (time: string, path: string, share: string) =>
      `A sharp die of its size tumbles ${time} and ${path}: this one takes ${share} of that time.`,
    reference: 'at once, from the shape',
  },

  ...WHAT_IF_WORDS.en,
};

const de: typeof en = {
  heading: 'Würfe',
  source: {
    label: 'Würfel',
    measured: 'wie hier gemessen',
    ideal: (kind) => `ein genauer ${kind} üblicher Größe`,
    file: 'Ergebnisdatei öffnen',
    notJson: (name) => `${name} ist keine Ergebnisdatei: Sie enthält kein JSON.`,
    about: 'Noch ist kein Würfel gemessen: Nehmen Sie einen genauen, oder öffnen Sie eine Ergebnisdatei.',
  },
  table: 'Tisch',
  tables: {
    unknown: 'unbekannt (Mittel der drei)',
    wood: 'Holz',
    felt: 'Filz',
    stone: 'Stein oder Glas',
  },
  notShape: (why) => `Über die Würfe lässt sich nichts sagen: ${why}.`,
  beyond: (why) => `Die Sofortrechnung taugt für diesen Würfel nicht: ${why}. Stattdessen wird er unten durchgeworfen.`,
  beyondChanged: (why) =>
    `Die Sofortrechnung taugt für den geänderten Würfel nicht: ${why}. Durchwerfen gibt Gewissheit.`,
  assumes:
    'Allein aus der Form vorhergesagt; angenommen sind volles, gleichmäßiges Material und ein starrer, waagerechter Tisch. Alle Bereiche gelten zu 95 %; sie enthalten die Unsicherheit der Form und des Modells.',
  noUncertainty: 'Zur Form ist keine Unsicherheit bekannt: Die Bereiche enthalten nur die des Modells.',

  chart: {
    title: 'Chance jeder Zahl',
    equal: (chance) => `gleich verteilt: ${chance}`,
    about: (title, equal, parts) => `${title}, mit 95-%-Bereich; gleich verteilt wären ${equal}. ${parts}.`,
    part: (name, value, low, high) => `${name}: ${value}, ${low} bis ${high}`,
    less: 'seltener',
    more: 'häufiger',
    number: 'Zahl',
    chance: 'Chance',
    low: 'von',
    high: 'bis',
    equalColumn: 'Gleich möglich',
    inside: 'ja',
    above: 'nein, mehr',
    below: 'nein, weniger',
    key: '● Chance mit 95-%-Bereich',
    reference: (what) => `◇ ${what}`,
  },

  causes: {
    summary: 'Woher es kommt: Ursachen und Unsicherheit je Zahl',
    about:
      'Änderung jeder Chance durch jede Ursache allein, in Prozent der Chance, und die Standardunsicherheit durch das, was Messung und Modell offen lassen.',
    names: {
      faces: 'Achsen, Flächen',
      rounding: 'ungleiche Rundung',
      mass: 'Schwerpunkt',
      mark: 'Angussrest',
      crown: 'Wölbung',
      trim: 'beschnittene Kante',
    },
    measured: 'u, Messung',
    model: 'u, Modell',
    tables: 'u, Tisch',
    kernel: 'u, Kern',
    sampling: 'u, Würfe',
  },

  meaning: {
    heading: 'Was das heißt',
    even: (equal) =>
      `Er sieht gleichmäßig aus: Jeder Bereich enthält die gleiche Chance von ${equal}. Ein Beweis ist das nicht.`,
    uneven: (name, value, low, high, more, equal) =>
      `${name} kommt in ${value} der Würfe (${low} bis ${high}), ${more ? 'häufiger' : 'seltener'} als gleich verteilt mit ${equal}.`,
    others: (count) => `Zahlen, deren Bereich die gleiche Chance ausschließt: ${count}.`,
    mean: (value, low, high, even) =>
      `Mittlerer Wurf ${value} (${low} bis ${high}); ein gleichmäßiger Würfel hat ${even}.`,
    per100: (value, low, high) => `Auf 100 Würfe sind das ${value} Punkte (${low} bis ${high}).`,
    extreme: (which, value, low, high) => `${which}: ${value} (${low} bis ${high}).`,
    highest: (name) => `Höchste Zahl, ${name}`,
    lowest: (name) => `Niedrigste Zahl, ${name}`,
    notice: (value, range) =>
      `Am Tisch braucht eine Prüfung etwa ${value} Würfe (${range}), um das in 4 von 5 Fällen zu bemerken.`,
    noticeNone: (range) =>
      `Es ist nichts da, worauf sich eine Prüfung am Tisch planen ließe; ist er doch ungleichmäßig, braucht es ${range} Würfe, um das zu bemerken.`,
    range: (low, high) => `${low} bis ${high}`,
    from: (low) => `mindestens ${low}`,
    target: 'Chance auf mindestens',
    targetIs: (value, low, high, even) => `${value} (${low} bis ${high}); gleichmäßig: ${even}`,
  },

  throws: {
    heading: 'Durchgerechnete Würfe',
    about:
      'Wirft den gemessenen Körper, einen Wurf nach dem anderen, auf allen Rechenkernen. Gleiche Startzahl, gleiches Ergebnis.',
    die: 'Würfel',
    asMeasured: 'wie gemessen',
    asChanged: 'wie unter „Was wäre wenn“ geändert',
    count: 'Würfe, höchstens',
    precision: 'Aufhören, wenn jede Chance bekannt ist auf ±',
    precisionUnit: '% von ihr',
    seed: 'Startzahl',
    throw: 'Werfen',
    cancel: 'Abbrechen',
    wrongCount: (most) => `Eine ganze Zahl von 1 bis ${most} wird gebraucht.`,
    wrongSeed: (most) => `Eine ganze Zahl von 0 bis ${most} wird gebraucht.`,
    wrongPrecision: 'Leer, oder eine Zahl von 0,05 bis 50.',
    progress: (done, all) => `${done} von höchstens ${all} Würfen`,
    known: (share) => `Durch diese Würfe ist jede Chance auf ±${share} von ihr bekannt.`,
    chart: (throws, table) => `Chance jeder Zahl aus ${throws} Würfen, Tisch: ${table}`,
    cancelled: 'Abgebrochen; zu sehen ist, was bis dahin geworfen wurde.',
    tumble: (time, path) =>
      `Von der ersten Berührung an rollt er ${time} und ${path} weit, bis der Ausgang entschieden ist.`,
    sharp: (time, path, share) =>
      `Ein scharfkantiger seiner Größe rollt ${time} und ${path}: Dieser braucht ${share} dieser Zeit.`,
    reference: 'sofort, aus der Form',
  },

  ...WHAT_IF_WORDS.de,
};

export const rollsWords = reader({ en, de });
