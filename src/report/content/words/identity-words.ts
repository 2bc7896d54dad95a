import type { Catalogue } from '../../../text/language.ts';

const en = {
  number: 'Report',
  die: 'Die',
  measuredBy: 'Measured by',
  measuredOn: 'Measured on',
  reportedOn: 'Reported on',
  photos: 'Photos',
  scale: 'Scale',
  faceNumbers: 'Numbers of the faces',
  maker: 'Made or sold by',
  place: 'Place',
  notStated: 'not stated',
  used: (used: number, of: number) => `${used} used of ${of}`,
  known: (seen: number, of: number) => `known in ${seen} of ${of} photos; the others were left out`,
  contradicted: (seen: number, of: number) =>
    `contradicted by the faces in ${seen} of ${of} photos: lengths may stand under wrong names`,
  barsMeasured: 'check bars measured',
  barsNotMeasured: 'card not checked',
  cardAsDesigned: (percent: string) =>
    `The scale is that of the printed Evencast card as designed. Nobody measured its check bars: printers miss by some tenths of a per cent, a print "fit to page" by 2 to 4 %, and all lengths share a standard uncertainty of ${percent} %. Differences between axes share it in proportion; ratios do not suffer, since the photos tell how far the print is stretched one way.`,
  bars: (read: readonly string[], u: string) =>
    ` The bars, nominally 100 mm, were read as ${read.join(' and ')}, with a standard uncertainty of ${u} mm.`,
  rulerUnknown: 'with an instrument that was not stated',
  ruler: (ruler: string) => `with: ${ruler}`,
  cardChecked: (ruler: string, bars: string, x: string, y: string) =>
    `The scale is that of the printed Evencast card, whose check bars were measured ${ruler}.${bars} Printed over designed length: ${x} along x, ${y} along y. The instrument's own calibration is as its owner knows it.`,
  conditions: (said: string) => `Conditions, as stated: ${said}`,
  note: (said: string) => `Note of who measured: ${said}`,
  howToCheck: 'How to check this report',
  carries: (photos: string) =>
    `This file carries all its data. Opened on the Evencast page (Report), or with "evencast report --check FILE", it shows the same numbers and says whether anything was changed. ${photos}`,
  noDigests:
    'The photos were not at hand when it was written: it holds no digests of them, and they cannot be checked.',
  digests: (count: number) =>
    `It holds the SHA-256 digests of ${count} photos; whoever has the photos can measure again.`,
  proves:
    'A digest proves sameness, not truth and not authorship: it tells that data or photos are the very same, not that they show what is claimed, nor who made them.',
  digest: (digest: string) => `SHA-256 of the data (canonical JSON, RFC 8785): ${digest}`,
  signed: (kind: string, key: string) =>
    `Signed with ${kind}; name of the key: ${key}. A signature says that the holder of that key signed these data; whose key it is, you must know from elsewhere.`,
  checkedAgainst: (
    instrument: string | null,
    U95: string,
    date: string | null,
    agreeing: number,
    of: number,
    scores: string,
  ) =>
    `Checked against ${instrument ?? 'an instrument that was not stated'} (U95 ${U95} mm)${date === null ? '' : ` on ${date}`}: ${agreeing} of ${of} axes agree within their doubts (E_n as in ISO/IEC 17043, at most 1 in size: ${scores}).`,
};

const de: typeof en = {
  number: 'Bericht',
  die: 'Würfel',
  measuredBy: 'Gemessen von',
  measuredOn: 'Gemessen am',
  reportedOn: 'Bericht vom',
  photos: 'Fotos',
  scale: 'Maßstab',
  faceNumbers: 'Zahlen',
  maker: 'Hersteller',
  place: 'Ort',
  notStated: 'nicht angegeben',
  used: (used, of) => `${used} von ${of} verwendet`,
  known: (seen, of) => `in ${seen} von ${of} Fotos bekannt; die übrigen wurden weggelassen`,
  contradicted: (seen, of) =>
    `in ${seen} von ${of} Fotos widersprechen die Flächen: Längen stehen vielleicht unter falschen Namen`,
  barsMeasured: 'Prüfstrecken gemessen',
  barsNotMeasured: 'Karte nicht geprüft',
  cardAsDesigned: (percent) =>
    `Der Maßstab ist der der gedruckten Evencast-Karte laut Entwurf. Niemand hat ihre Prüfstrecken gemessen: Drucker verfehlen ihn um einige Zehntel Prozent, ein an die Seite angepasster Druck um 2 bis 4 %, und alle Längen teilen eine Standardunsicherheit von ${percent} %. Unterschiede zwischen Achsen teilen sie im Verhältnis; Verhältnisse leiden nicht, denn wie weit der Druck in einer Richtung gestreckt ist, sagen die Fotos.`,
  bars: (read, u) =>
    ` Die Strecken, Nennmaß 100 mm, wurden mit ${read.join(' und ')} abgelesen, Standardunsicherheit ${u} mm.`,
  rulerUnknown: 'mit einem nicht genannten Messmittel',
  ruler: (ruler) => `mit: ${ruler}`,
  cardChecked: (ruler, bars, x, y) =>
    `Der Maßstab ist der der gedruckten Evencast-Karte, deren Prüfstrecken gemessen wurden ${ruler}.${bars} Gedruckte durch entworfene Länge: ${x} entlang x, ${y} entlang y. Wie das Messmittel kalibriert ist, weiß sein Besitzer.`,
  conditions: (said) => `Bedingungen, wie angegeben: ${said}`,
  note: (said) => `Bemerkung der messenden Person: ${said}`,
  howToCheck: 'Wie sich dieser Bericht prüfen lässt',
  carries: (photos) =>
    `Diese Datei enthält alle ihre Daten. Auf der Evencast-Seite geöffnet (Bericht) oder mit „evencast report --check DATEI“ zeigt sie dieselben Zahlen und sagt, ob etwas verändert wurde. ${photos}`,
  noDigests:
    'Die Fotos lagen beim Schreiben nicht vor: Der Bericht enthält keine Prüfsummen von ihnen, und sie lassen sich nicht prüfen.',
  digests: (count) =>
    count === 1
      ? 'Sie enthält die Prüfsumme (SHA-256) von 1 Foto; wer es hat, kann noch einmal messen.'
      : `Sie enthält die Prüfsummen (SHA-256) von ${count} Fotos; wer die Fotos hat, kann noch einmal messen.`,
  proves:
    'Eine Prüfsumme beweist Gleichheit, nicht Wahrheit und nicht Urheberschaft: Sie sagt, dass Daten oder Fotos genau dieselben sind, nicht dass sie zeigen, was behauptet wird, oder von wem sie stammen.',
  digest: (digest) => `SHA-256 der Daten (kanonisches JSON, RFC 8785): ${digest}`,
  signed: (kind, key) =>
    `Unterschrieben mit ${kind}; Name des Schlüssels: ${key}. Eine Unterschrift sagt, dass der Inhaber dieses Schlüssels die Daten unterschrieben hat; wessen Schlüssel das ist, müssen Sie anderswoher wissen.`,
  checkedAgainst: (instrument, U95, date, agreeing, of, scores) =>
    `Verglichen mit ${instrument ?? 'einem nicht genannten Messmittel'} (U95 ${U95} mm)${date === null ? '' : ` am ${date}`}: ${agreeing} von ${of} Achsen stimmen innerhalb ihrer Unsicherheiten überein (E_n nach ISO/IEC 17043, dem Betrag nach höchstens 1: ${scores}).`,
};

/** Who, what, when; the card; how to check the file. */
export const IDENTITY_WORDS = { en, de } satisfies Catalogue<typeof en>;
