import {
  CHECK_WORDS,
  DETAIL_WORDS,
  type CheckKind,
  type CheckWords,
  type DetailWords,
} from '../../report/check/check-words.ts';
import { MOST_BYTES, openFaultText, type OpenFault } from '../../report/check/open-report.ts';
import { jsonFaultText } from '../../formats/json-text.ts';
import { axisName } from '../../text/axis-name.ts';
import { fileFaultText } from '../../text/format-faults.ts';
import { reader, type Catalogue } from '../kit/catalogue.ts';

const follows =
  (what: (name: string) => string) =>
  (name: string, stated: string, due: string): string =>
    `${what(name)}: ${stated} mm angegeben, ${due} mm aus den anderen Zahlen`;
const DETAILS_DE: DetailWords = {
  'as-it-is': (text) => text,
  stated: (text) => `angegeben ${text}`,
  found: (text) => `gefunden ${text}`,
  'none-needed': () => 'gefunden: keine nötig',
  'page-due': (text) => `richtig: …${text}…`,
  'page-found': (text) => `gefunden: …${text}…`,
  'from-byte': (at) => `ab Byte ${at}`,
  'mean-axis': follows(() => 'mittlere Achse'),
  'range-of-axes': follows(() => 'Spannweite der Achsen'),
  axis: follows((name) => `Achse ${name}`),
  'axis-at-edges': follows((name) => `Achse ${name}, an den Kanten`),
  'axis-u': follows((name) => `Achse ${name}, u`),
  'mean-corner-radius': follows(() => 'mittlerer Eckenradius'),
  edge: follows((name) => `Kante ${name}`),
  'face-u': follows((name) => `Fläche ${name}, u`),
  'corner-u': follows((name) => `Ecke ${name}, u`),
};

const DE: CheckWords = {
  'data-agree': () => 'Die Daten stimmen mit ihrem SHA-256 und mit der Nummer des Berichts überein.',
  'data-changed': () => 'Die Daten wurden verändert: Ihr SHA-256 ist nicht der angegebene.',
  'number-wrong': (stated, due) => `Die Nummer ${stated} gehört nicht zu diesen Daten (${due}).`,
  'derived-agree': () => 'Urteile, Würfe und Mittel folgen aus den gemessenen Zahlen.',
  'derived-differ': () => 'Einige Zahlen folgen nicht aus den anderen:',
  'derived-differ-version': (wrote, own) =>
    `Urteile oder Würfe kommen hier anders heraus: Evencast ${wrote} hat den Bericht geschrieben, dies ist ${own}, vielleicht mit anderen Kernen, und rechnet vielleicht anders:`,
  'throws-agree': (n) => `Die ${n} nachgebildeten Würfe, noch einmal geworfen, ergeben dieselben Anzahlen.`,
  'throws-differ': (n) => `Die ${n} nachgebildeten Würfe, noch einmal geworfen, ergeben andere Anzahlen:`,
  'page-agrees': () => 'Die Seite sagt bis aufs letzte Byte, was ihre Daten sagen.',
  'page-changed': () => 'Die Seite wurde verändert: Sie sagt nicht, was ihre Daten sagen.',
  'page-none': () => 'Eine JSON-Datei hat neben ihren Daten keine Seite.',
  'page-version': (wrote) =>
    `Die Seite wurde von Evencast ${wrote} geschrieben; nur diese Version könnte sie zum Vergleich noch einmal schreiben. Verlassen Sie sich auf die Zahlen hier, nicht auf die der Seite.`,
  'page-unknown': () =>
    'Die Seite konnte nicht zum Vergleich noch einmal geschrieben werden. Verlassen Sie sich auf die Zahlen hier, nicht auf die der Seite.',
  unsigned: () => 'Der Bericht ist nicht unterschrieben.',
  signed: (key) => `Unterschrieben mit dem Schlüssel ${key}. Wessen Schlüssel das ist, müssen Sie anderswoher wissen.`,
  'signature-wrong': () => 'Die Unterschrift gehört nicht zu diesen Daten.',
  'signature-unknown': () => 'Der Bericht ist unterschrieben, aber die Unterschrift lässt sich hier nicht prüfen.',
  'no-digests': () => 'Der Bericht enthält keine Prüfsummen seiner Fotos.',
  'photos-not-given': (n) => `Der Bericht enthält die Prüfsummen von ${n} Fotos; zum Vergleich wurde keins gegeben.`,
  'photos-agree': (n) => `Alle ${n} Fotos sind genau die, die gemessen wurden.`,
  'photos-some': (given, n) => `${given} von ${n} Fotos wurden gegeben; sie sind die, die gemessen wurden.`,
  'photos-differ': (changed, n) => `${changed} von ${n} Fotos sind nicht die, die gemessen wurden.`,
};

function germanFault(fault: OpenFault): string {
  switch (fault.code) {
    case 'too-large':
      return `Die Datei hat ${Math.round(fault.bytes / 1e6)} MB; ein Bericht hat höchstens ${MOST_BYTES / 1e6}.`;
    case 'no-report':
      return 'Das ist kein Bericht: Gebraucht wird eine PDF-, HTML- oder JSON-Datei von Evencast.';
    case 'no-attachment':
      return `Diese ${fault.form === 'pdf' ? 'PDF' : 'HTML'}-Datei enthält keine Daten. Vielleicht hat ein anderes Programm sie neu gespeichert; fragen Sie nach der Datei, wie Evencast sie schrieb.`;
    case 'several-attachments':
      return `Diese Datei hat ${fault.count} Anhänge, ein Bericht hat einen: Ein anderes Programm hat sie verändert.`;
    case 'unreadable-attachment':
      return 'Die angehängten Daten lassen sich nicht lesen: Sie sind beschädigt oder wurden verändert.';
    case 'no-json':
      return `Die Daten der Datei sind kein JSON: Sie sind beschädigt oder wurden verändert (${fault.why === null ? 'kein UTF-8' : jsonFaultText(fault.why, 'de')}).`;
    case 'not-this-format':
      return `Die Daten der Datei sind nicht die eines Berichts, den diese Version liest: ${fileFaultText(fault.why, 'de')}.`;
  }
}

const en = {
  outcome: CHECK_WORDS,
  detail: DETAIL_WORDS,
  openFault: openFaultText,
  kinds: {
    data: 'Data',
    derived: 'Numbers',
    throws: 'Throws',
    page: 'Page',
    signature: 'Signature',
    photos: 'Photos',
  } satisfies Record<CheckKind, string>,
  agrees: 'agrees',
  differs: 'differs',
  open: 'open',
  heading: 'Check a report',
  about: 'Open a report as PDF, HTML or JSON: it is read here and nothing leaves this device. Nothing in it is run.',
  choose: 'Open a report',
  close: 'Close this report',
  opening: 'Reading and checking',
  asDie: 'Show it as a die',
  proves: 'What agrees proves sameness, not truth and not authorship.',
  numbers: 'What the report says, read from its data',
  givePhotos: 'Give its photos and measure again',
  photosAbout: 'With the photos the die is measured again on this device, and both results stand side by side.',
  measuring: (percent: string) => `Measuring again, ${percent}`,
  cancel: 'Cancel',
  again: 'Measured again',
  identical: 'Measured again from the photos: the same numbers.',
  within: 'Measured again from the photos: the same within U95.',
  other: 'Measured again from the photos: other numbers. See the rows whose share of U95 is above 1.',
  quantity: 'Quantity, mm',
  /** A quantity as `sideBySide` names it. */
  rowName: (name: string) => name,
  stated: 'Report',
  now: 'Again',
  difference: 'Difference, µm',
  share: 'of U95',
  otherKind: 'The photos show another kind of die.',
  cannot: (why: string) => `The photos could not be measured again: ${why}`,
};

const QUANTITIES: Readonly<Record<string, string>> = {
  'mean axis': 'mittlere Achse',
  'range of axes': 'Spannweite der Achsen',
  'mean corner radius': 'mittlerer Eckenradius',
};

const de: typeof en = {
  outcome: DE,
  detail: DETAILS_DE,
  openFault: germanFault,
  kinds: {
    data: 'Daten',
    derived: 'Zahlen',
    throws: 'Würfe',
    page: 'Seite',
    signature: 'Unterschrift',
    photos: 'Fotos',
  },
  agrees: 'stimmt',
  differs: 'weicht ab',
  open: 'offen',
  heading: 'Einen Bericht prüfen',
  about:
    'Öffnen Sie einen Bericht als PDF, HTML oder JSON: Er wird hier gelesen, und nichts verlässt dieses Gerät. Nichts darin wird ausgeführt.',
  choose: 'Bericht öffnen',
  close: 'Diesen Bericht schließen',
  opening: 'Wird gelesen und geprüft',
  asDie: 'Als Würfel zeigen',
  proves: 'Was stimmt, beweist Gleichheit, nicht Wahrheit und nicht Urheberschaft.',
  numbers: 'Was der Bericht sagt, aus seinen Daten gelesen',
  givePhotos: 'Seine Fotos geben und neu messen',
  photosAbout:
    'Mit den Fotos wird der Würfel auf diesem Gerät neu gemessen, und beide Ergebnisse stehen nebeneinander.',
  measuring: (percent) => `Wird neu gemessen, ${percent}`,
  cancel: 'Abbrechen',
  again: 'Neu gemessen',
  identical: 'Aus den Fotos neu gemessen: dieselben Zahlen.',
  within: 'Aus den Fotos neu gemessen: innerhalb von U95 dasselbe.',
  other: 'Aus den Fotos neu gemessen: andere Zahlen. Es sind die Zeilen, deren Anteil an U95 über 1 liegt.',
  quantity: 'Größe, mm',
  rowName: (name) => QUANTITIES[name] ?? axisName(name.replace(/^axis /, 'Achse '), 'de'),
  stated: 'Bericht',
  now: 'Neu',
  difference: 'Unterschied, µm',
  share: 'von U95',
  otherKind: 'Die Fotos zeigen eine andere Art von Würfel.',
  cannot: (why) => `Die Fotos konnten nicht neu gemessen werden: ${why}`,
};

export const checkWords = reader({ en, de } satisfies Catalogue<typeof en>);
