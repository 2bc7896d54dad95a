import { formatFaultText } from '../text/format-faults.ts';
import { germanNumbers } from '../text/notes.ts';
import type { BiasFault } from './messages.ts';

type Faults = { readonly [C in BiasFault['code']]: (fault: Extract<BiasFault, { code: C }>) => string };

const number = (x: number): string => germanNumbers(String(Number(x.toPrecision(4)))).replace('-', '\u2212');
const mm = (x: number): string => `${number(x)}\u00a0mm`;
const value = (x: number): string => (Number.isFinite(x) ? number(x) : String(x));

/** What a fault is about, as the codes' arguments name it. */
const WHAT: Readonly<Record<string, string>> = {
  faces: 'Flächen',
  labels: 'Zahlen',
  corners: 'Ecken',
  crowns: 'Wölbungen',
  'face of the mark': 'Fläche des Angussrests',
  'face distance': 'Abstand einer Fläche',
  'corner radius': 'Eckenradius',
  crown: 'Wölbung',
  mark: 'Angussrest',
  'place of the mark': 'Ort des Angussrests',
  'depth of the trim': 'Tiefe des Kantenschnitts',
  'centre of mass': 'Schwerpunkt',
  dice: 'die Zahl der Würfel',
  gap: 'den Spalt',
  dieToDie: 'die Streuung von Würfel zu Würfel',
  first: 'die erste Achse',
  second: 'die zweite Achse',
  u: 'die Unsicherheit',
  reading: 'die Ablesung',
};
const what = (text: string): string => WHAT[text] ?? text;

const TEXTS: Faults = {
  'kind-not-modelled': ({ kind }) =>
    `${kind}: nicht nachgebildet. Münzen, Tonnen und Stäbe werden abgelehnt, weil das Modell an veröffentlichten Würfen von Zylindern scheitert (8 % auf den Enden, wo 24 bis 38 % geworfen wurden). Nachgebildet sind d4, d6, d8, d10, d12 und d20`,
  'count-wrong': (f) => `${what(f.what)}: ${f.seen} gefunden, ${f.needed} gebraucht`,
  'not-a-length': (f) => `${what(f.what)}: ${value(f.value)} ist keine mögliche Länge`,
  'faces-do-not-close': ({ face }) =>
    `Fläche ${face}: Mit diesen Abständen schließen sich die Ebenen nicht zu einem solchen Würfel; diese Fläche verliert ihre Auflage oder schneidet eine Ecke ab`,
  'radius-too-large': ({ corner, radius }) =>
    `Ecke ${corner}: Ein Radius von ${mm(radius)} lässt zwischen den Ecken keine Auflage übrig`,
  'mark-impossible': ({ height, width }) =>
    `Angussrest: ${mm(height)} hoch auf einem Fuß von ${mm(width)}; er kann höchstens halb so hoch wie breit sein`,
  'mark-off-face': ({ reach, land }) =>
    `Angussrest: ${mm(reach)} von der Mitte der Fläche, aber die Auflage endet ${mm(land)} von ihr`,
  'crown-too-high': ({ face, crown }) => `Fläche ${face}: ${mm(crown)} sind keine Wölbung mehr`,
  'trim-not-an-edge': ({ faces }) => `Kantenschnitt: Die Flächen ${faces.join(' und ')} haben keine gemeinsame Kante`,
  'trim-too-deep': ({ depth }) => `Kantenschnitt: ${mm(depth)} schnitten mehr ab als eine Kante`,
  'mass-outside': ({ offset }) => `Schwerpunkt: ${mm(Math.hypot(...offset))} von der Mitte, das ist kein Würfel mehr`,
  wrong: (f) => `kein Messergebnis: ${formatFaultText(f, 'de')}`,
  'not-measured': ({ reason }) => `dieses Ergebnis sagt, dass der Würfel nicht messbar war (${reason})`,
  'names-do-not-fit': ({ kind, names }) =>
    `die Namen der Flächen und Ecken passen nicht zu einem ${kind}: ${names.slice(0, 24).join(' ')}`,
  'thrown-impossible': () => 'Die Würfe, die bei dieser Form liegen, sind keine Anzahlen ihrer Zahlen',
  'log-empty': () => 'Die Liste ist leer: Würfe wie 3 17 20 oder Anzahlen wie 20: 13 eingeben oder einfügen',
  'no-such-die': ({ die, known }) => `${die}: bekannt sind ${known.join(', ')}`,
  'no-roll-fits': ({ strangers, names }) =>
    `In dieser Liste steht kein Wurf eines Würfels mit den Zahlen ${names[0]} bis ${names[names.length - 1]}; sie enthält ${strangers
      .slice(0, 5)
      .map(({ text }) => `„${text}“`)
      .join(', ')}`,
  'count-not-whole': ({ text, line }) => `Zeile ${line}: „${text}“ ist keine Zahl mit ihrer Anzahl, wie 20: 13`,
  'count-too-large': ({ text, line, needed }) =>
    `Zeile ${line}: mit „${text}“ hat das Protokoll mehr als ${needed} Würfe, die sich nicht genau zählen lassen`,
  'too-many-words': ({ line, needed }) =>
    `mehr als ${needed} verschiedene Wörter bis Zeile ${line}: ein Wurfprotokoll hat die Zahlen eines Würfels; bitte nur die Würfe angeben`,
  'stack-impossible': (f) => `Stapel: ${value(f.value)} ist kein möglicher Wert für ${what(f.what)}`,
};

/** A fault in German, without a full stop; the English is `faultText`'s. */
export const germanFault = (fault: BiasFault): string => (TEXTS[fault.code] as (f: BiasFault) => string)(fault);
