import type { Reader } from '../../report/content/blocks.ts';
import type { ClassName } from '../../judging/tolerance.ts';
import type { AboutField, EntryFault, LimitField } from './report-entries.svelte.ts';
import { reader, type Catalogue } from '../kit/catalogue.ts';

type Texts<K extends string> = Readonly<Record<K, string>>;

const en = {
  heading: 'Report',
  about:
    'For somebody else to read, and to check. Choose who reads it, what the die is held to, and what shall stand in it.',
  language: 'Language of the report',
  readerLabel: 'For whom',
  readers: {
    buyer: 'Buyer: one page, plain sentences',
    seller: 'Seller: two pages',
    lab: 'Laboratory: everything',
  } as Texts<Reader>,
  paper: 'Paper',
  papers: { a4: 'A4', letter: 'US Letter' },
  save: 'Save',
  making: 'Making the file',
  preview: 'Preview',
  previewing: 'Making the preview',
  stale:
    'Something was changed since this was measured. The report tells what was measured; measure again to report the change.',

  limits: {
    heading: 'Limits and decision rule',
    about:
      'Your own limits come first; what is left empty is not judged. The classes are common practice without a published source, to start from.',
    classLabel: 'Fill in a class',
    classChoose: 'Choose',
    classes: {
      strictest: 'Machined, strictest',
      machined: 'Machined',
      moulded: 'Moulded',
      tumbled: 'Heavily tumbled',
    } as Texts<ClassName>,
    clear: 'Clear limits',
    name: 'Name of these limits',
    source: 'Where they come from',
    fields: {
      'size.low': 'Mean axis, from',
      'size.high': 'Mean axis, to',
      'range.low': 'Range of axes, from',
      'range.high': 'Range of axes, at most',
      'edges.low': 'Edge radius, from',
      'edges.high': 'Edge radius, to',
      'chances.low': 'Chance of each number, from',
      'chances.high': 'Chance of each number, to',
      'crowns.low': 'Crown of each face, from',
      'crowns.high': 'Crown of each face, at most',
      'marks.low': 'Height of marks, from',
      'marks.high': 'Height of marks, at most',
    } as Texts<LimitField>,
    ofEven: '% of even',
    faults: {
      number: 'A number from 0 to 1000 is needed.',
      order: 'It must lie above the lower limit.',
      probability: '50 to 99.99 is needed.',
    } as Texts<EntryFault>,
    rule: 'Decision rule',
    rules: {
      guard: 'Guard band U95, else undecided',
      simple: 'Simple: doubt does not count',
      shared: 'Shared risk, probability stated',
    },
    probability: 'Stated probability',
  },

  said: {
    heading: 'What shall stand in it',
    about: 'All of it is optional and shown as text.',
    fields: {
      die: 'Which die',
      maker: 'Made or sold by',
      measuredBy: 'Measured by',
      measuredOn: 'Measured on',
      place: 'Place',
      conditions: 'Conditions (light, support, camera)',
      ruler: 'The check bars were measured with',
      note: 'Note',
    } as Texts<AboutField>,
    dateWrong: 'A date is needed.',
  },

  signing: {
    heading: 'Sign with a key of your own',
    about:
      'A signature says that the holder of the key signed these data. Readers must know from you which key is yours. Whoever has the key file can sign as you: keep it to yourself.',
    none: 'Not signed.',
    using: (name: string) => `Signed with the key ${name}.`,
    make: 'Make a key and save it',
    open: 'Open a key file',
    stop: 'Do not sign',
    wrong: (file: string) => `${file} is no key file of this program.`,
  },

  fault: {
    stopped: (detail: string) => `The report could not be made: ${detail}`,
    insecure: 'Signing needs a page that came over https or from this device.',
    key: (detail: string) => `The key cannot be used: ${detail}`,
  },
  caution:
    'Not for gaming for money: a report is no certificate for regulated play. A digest proves sameness, not truth or authorship.',
  forms: { pdf: 'PDF', html: 'HTML', json: 'JSON', csv: 'CSV', png: 'Picture for a shop (PNG)' },
};

const de: typeof en = {
  heading: 'Bericht',
  about:
    'Damit andere ihn lesen und prüfen. Wählen Sie, wer ihn liest, woran der Würfel gemessen wird und was darin stehen soll.',
  language: 'Sprache des Berichts',
  readerLabel: 'Für wen',
  readers: { buyer: 'Käufer: eine Seite, einfache Sätze', seller: 'Verkäufer: zwei Seiten', lab: 'Labor: alles' },
  paper: 'Papier',
  papers: { a4: 'A4', letter: 'US Letter' },
  save: 'Speichern',
  making: 'Die Datei wird gemacht',
  preview: 'Vorschau',
  previewing: 'Die Vorschau wird gemacht',
  stale:
    'Seit der Messung wurde etwas geändert. Der Bericht sagt, was gemessen wurde; messen Sie neu, damit er die Änderung enthält.',

  limits: {
    heading: 'Grenzen und Entscheidungsregel',
    about:
      'Ihre eigenen Grenzen gehen vor; was leer bleibt, wird nicht beurteilt. Die Klassen sind übliche Praxis ohne veröffentlichte Quelle, für den Anfang.',
    classLabel: 'Eine Klasse eintragen',
    classChoose: 'Wählen',
    classes: {
      strictest: 'Gefräst, am strengsten',
      machined: 'Gefräst',
      moulded: 'Gegossen',
      tumbled: 'Lange getrommelt',
    },
    clear: 'Grenzen leeren',
    name: 'Name dieser Grenzen',
    source: 'Woher sie stammen',
    fields: {
      'size.low': 'Mittlere Achse, von',
      'size.high': 'Mittlere Achse, bis',
      'range.low': 'Spanne der Achsen, von',
      'range.high': 'Spanne der Achsen, höchstens',
      'edges.low': 'Kantenradius, von',
      'edges.high': 'Kantenradius, bis',
      'chances.low': 'Chance jeder Zahl, von',
      'chances.high': 'Chance jeder Zahl, bis',
      'crowns.low': 'Wölbung jeder Fläche, von',
      'crowns.high': 'Wölbung jeder Fläche, höchstens',
      'marks.low': 'Höhe von Marken, von',
      'marks.high': 'Höhe von Marken, höchstens',
    },
    ofEven: '% von gleich',
    faults: {
      number: 'Eine Zahl von 0 bis 1000 ist nötig.',
      order: 'Sie muss über der unteren Grenze liegen.',
      probability: '50 bis 99,99 ist nötig.',
    },
    rule: 'Entscheidungsregel',
    rules: {
      guard: 'Schutzabstand U95, sonst offen',
      simple: 'Einfach: Zweifel zählt nicht',
      shared: 'Geteiltes, genanntes Risiko',
    },
    probability: 'Genannte Wahrscheinlichkeit',
  },

  said: {
    heading: 'Was darin stehen soll',
    about: 'Nichts davon ist nötig; alles wird als Text gezeigt.',
    fields: {
      die: 'Welcher Würfel',
      maker: 'Hergestellt oder verkauft von',
      measuredBy: 'Gemessen von',
      measuredOn: 'Gemessen am',
      place: 'Ort',
      conditions: 'Bedingungen (Licht, Unterlage, Kamera)',
      ruler: 'Die Prüfstrecken wurden gemessen mit',
      note: 'Bemerkung',
    },
    dateWrong: 'Ein Datum ist nötig.',
  },

  signing: {
    heading: 'Mit einem eigenen Schlüssel unterschreiben',
    about:
      'Eine Unterschrift sagt, dass der Inhaber des Schlüssels diese Daten unterschrieben hat. Welcher Schlüssel Ihrer ist, müssen die Leser von Ihnen wissen. Wer die Schlüsseldatei hat, kann für Sie unterschreiben: Behalten Sie sie für sich.',
    none: 'Nicht unterschrieben.',
    using: (name) => `Unterschrieben mit dem Schlüssel ${name}.`,
    make: 'Schlüssel machen und speichern',
    open: 'Schlüsseldatei öffnen',
    stop: 'Nicht unterschreiben',
    wrong: (file) => `${file} ist keine Schlüsseldatei dieses Programms.`,
  },

  fault: {
    stopped: (detail) => `Der Bericht konnte nicht gemacht werden: ${detail}`,
    insecure: 'Zum Unterschreiben muss die Seite über https oder von diesem Gerät kommen.',
    key: (detail) => `Der Schlüssel taugt nicht: ${detail}`,
  },
  caution:
    'Nicht für Spiele um Geld: Ein Bericht ist kein Zertifikat für geregeltes Spiel. Eine Prüfsumme beweist Gleichheit, nicht Wahrheit oder Urheberschaft.',
  forms: { pdf: 'PDF', html: 'HTML', json: 'JSON', csv: 'CSV', png: 'Bild für einen Laden (PNG)' },
};

export const reportWords = reader({ en, de } satisfies Catalogue<typeof en>);
