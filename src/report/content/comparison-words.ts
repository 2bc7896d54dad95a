import type { Compared } from '../../figures/dice-comparison.ts';

const en = {
  title: 'Dice side by side',
  about:
    'Each was measured on its own. A difference is shown where it is larger than its U95; else chance may explain it.',
  die: 'Die',
  quantity: {
    meanAxis: 'Mean axis',
    rangeOfAxes: 'Range of axes',
    meanCornerRadius: 'Mean corner radius',
  } satisfies Record<Compared, string>,
  uneven: 'Rolls that show it',
  against: (name: string) => `Against ${name}`,
  shown: 'differs',
  notShown: 'no difference shown',
  never: 'not at a table',
  values: 'Values, mm, with U95',
  differences: (name: string) => `Differences from ${name}, mm, with U95`,
  axes: 'Deviation of each axis from the mean of its die, µm, with U95',
  oneScale: 'All dice on one scale.',
  sameCard: 'All on one printed card: what its scale moves alike is taken out of the differences.',
  made: (date: string) => `Made with Evencast on ${date}`,
  save: 'Save the results (JSON)',
  caution: 'Not for gaming for money: this comparison is no certificate for regulated play.',
};
export type ComparisonWords = typeof en;

const de: ComparisonWords = {
  title: 'Würfel nebeneinander',
  about:
    'Jeder wurde für sich gemessen. Ein Unterschied ist gezeigt, wo er größer ist als seine U95; sonst kann Zufall ihn erklären.',
  die: 'Würfel',
  quantity: {
    meanAxis: 'Mittlere Achse',
    rangeOfAxes: 'Spannweite der Achsen',
    meanCornerRadius: 'Mittlerer Eckenradius',
  },
  uneven: 'Würfe, die es zeigen',
  against: (name) => `Gegen ${name}`,
  shown: 'unterscheidet sich',
  notShown: 'kein Unterschied gezeigt',
  never: 'nicht am Tisch',
  values: 'Werte, mm, mit U95',
  differences: (name) => `Unterschiede zu ${name}, mm, mit U95`,
  axes: 'Abweichung jeder Achse vom Mittel ihres Würfels, µm, mit U95',
  oneScale: 'Alle Würfel auf einer Skala.',
  sameCard: 'Alle auf einer gedruckten Karte: Was ihr Maßstab gleich verschiebt, ist aus den Unterschieden genommen.',
  made: (date) => `Erstellt mit Evencast am ${date}`,
  save: 'Ergebnisse sichern (JSON)',
  caution: 'Nicht für Spiele um Geld: Dieser Vergleich ist kein Zertifikat für geregeltes Spiel.',
};

export const COMPARISON_WORDS: { readonly en: ComparisonWords; readonly de: ComparisonWords } = { en, de };
