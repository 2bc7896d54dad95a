import type { Reader } from '../blocks.ts';
import type { Catalogue } from '../../../text/language.ts';

const en = {
  titles: {
    buyer: 'Report on a die',
    seller: 'Measurement report',
    lab: 'Measurement report, in full',
  } satisfies Record<Reader, string>,
  coverage: (k: number) =>
    `\u201c\u00b1\u201d states the expanded uncertainty U95 = ${k} u (coverage factor k = ${k}, JCGM 100): the true value lies within about 95 times out of 100.`,
  shared: 'The card was not checked, so all lengths share a doubt, and differences between axes in proportion only. ',
  headings: {
    found: 'What was found',
    axes: 'Axes',
    edges: 'Edges and corners',
    rolls: 'Rolls',
    done: 'What was done',
    conformity: 'Statement of conformity',
    results: 'Results',
    method: 'Method',
    card: 'Card and scale',
    conditions: 'Conditions and remarks',
    limits: 'Limits of the method',
    uncertainty: 'Uncertainty',
    photos: 'Photos and residuals',
  },
  noConditions: 'Conditions: not stated.',
  /** Of the file. */
  file: {
    title: (number: string) => `Evencast report ${number}`,
    page: (page: number, of: number) => `Page ${page} of ${of}`,
    attached: 'All data of this report (evencast-report/1)',
    save: 'Save the data of this report (JSON)',
    pictures: 'Photos, made small',
    picturesAbout: 'To be read along. The digest covers the photos themselves, not these copies.',
  },
  /** Of the picture for a shop. */
  shop: {
    die: (kind: string) => `A ${kind}`,
    notJudged: 'Not judged: no limits set',
    limits: (name: string) => ` (limits: ${name})`,
    own: 'own',
    axes: (mean: string, range: string) => `Mean axis ${mean}; axes differ by ${range}`,
    edges: (radius: string) => `Edges rounded ${radius}`,
    mean: 'mean',
    number: (number: string) => `Report ${number}. \u00b1 states U95.`,
    caution: 'Measured with Evencast from photos. No certificate; not for gaming for money.',
  },
};

const de: typeof en = {
  titles: { buyer: 'Bericht über einen Würfel', seller: 'Messbericht', lab: 'Messbericht, vollständig' },
  coverage: (k) =>
    `„\u00b1“ nennt die erweiterte Unsicherheit U95 = ${k} u (Erweiterungsfaktor k = ${k}, JCGM 100): Der wahre Wert liegt etwa 95-mal von 100 darin.`,
  shared:
    'Die Karte wurde nicht geprüft, also teilen alle Längen eine Unsicherheit, Unterschiede zwischen Achsen nur im Verhältnis. ',
  headings: {
    found: 'Was gefunden wurde',
    axes: 'Achsen',
    edges: 'Kanten und Ecken',
    rolls: 'Würfe',
    done: 'Was getan wurde',
    conformity: 'Konformitätsaussage',
    results: 'Ergebnisse',
    method: 'Verfahren',
    card: 'Karte und Maßstab',
    conditions: 'Bedingungen und Anmerkungen',
    limits: 'Grenzen des Verfahrens',
    uncertainty: 'Unsicherheit',
    photos: 'Fotos und Abweichungen',
  },
  noConditions: 'Bedingungen: nicht angegeben.',
  file: {
    title: (number) => `Evencast-Bericht ${number}`,
    page: (page, of) => `Seite ${page} von ${of}`,
    attached: 'Alle Daten dieses Berichts (evencast-report/1)',
    save: 'Daten dieses Berichts sichern (JSON)',
    pictures: 'Fotos, verkleinert',
    picturesAbout: 'Zum Mitlesen. Die Prüfsumme gilt den Fotos selbst, nicht diesen Abbildern.',
  },
  shop: {
    die: (kind) => `Ein ${kind}`,
    notJudged: 'Nicht beurteilt: keine Grenzen gesetzt',
    limits: (name) => ` (Grenzen: ${name})`,
    own: 'eigene',
    axes: (mean, range) => `Mittlere Achse ${mean}; Achsen verschieden um ${range}`,
    edges: (radius) => `Kanten gerundet ${radius}`,
    mean: 'Mittel',
    number: (number) => `Bericht ${number}. \u00b1 nennt U95.`,
    caution: 'Mit Evencast aus Fotos gemessen. Kein Zertifikat; nicht für Spiele um Geld.',
  },
};

/** Titles, headings, and what the forms say of themselves. */
export const REPORT_WORDS = { en, de } satisfies Catalogue<typeof en>;
