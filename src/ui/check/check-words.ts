import type { Agreement } from '../../judging/agreement.ts';
import type { Catalogue } from '../kit/catalogue.ts';

const en = {
  heading: 'Check the instrument',
  about:
    'Measure the same die with a caliper or micrometer, or lay a gauge block of known size beside the jaws first. Both agree where they differ by no more than their doubts together.',
  noDie: 'A measured die is needed: measure one, or open one from the shelf.',
  instrument: 'Instrument',
  instrumentHint: 'such as: micrometer, 0.001 mm',
  u95: 'Its U95',
  u95About: 'For a caliper usually 0.03 mm, for a micrometer 0.004 mm (common practice, no published source).',
  axis: 'Axis',
  reading: 'Reading',
  photos: 'From photos',
  difference: 'Difference',
  en: 'Eₙ',
  zeta: 'ζ',
  verdict: 'Verdict',
  agrees: 'agrees',
  disagrees: 'does not agree',
  wrong: 'A length between 1 and 200 mm.',
  keep: 'Keep these readings',
  kept: 'Kept. They stand in the chart below and in the report.',
  all: (n: number, of: number) => `${n} of ${of} readings agree within their doubts (|Eₙ| at most 1).`,
  scores:
    'Eₙ is the difference over the expanded uncertainties of both together (ISO/IEC 17043); ζ the same over the standard ones (ISO 13528): up to 2 satisfactory, from 3 unsatisfactory.',
  grade: {
    satisfactory: 'satisfactory',
    questionable: 'questionable',
    unsatisfactory: 'unsatisfactory',
  } satisfies Record<Agreement['grade'], string>,
  chart: 'Over time',
  chartAbout: 'Each reading kept, by its Eₙ. Between the dashed lines both instruments agree.',
  chartNone: 'Nothing kept yet.',
  mean: (en: string, n: number) =>
    `Mean Eₙ ${en} over ${n} readings. A mean that stays on one side tells of a scale or an instrument that is off.`,
  remove: 'Remove',
  removeOf: (name: string) => `Remove the readings of ${name}`,
  protocol: 'Protocol',
  print: 'Print',
  steps: [
    'Clean the die and the jaws. Let both lie beside each other for half an hour, so that they are equally warm.',
    'Close the jaws and note the zero. Measure a gauge block or a ball of known size if there is one, and note it too.',
    'Hold the die between thumb and finger so that two opposite faces lie flat in the middle of the jaws, not on an edge and not on a number that stands proud.',
    'Close with the ratchet, or with one finger and always alike. Turn the die a little until the reading is smallest.',
    'Read each axis three times, the die taken out between, and write down the mean.',
    'On a d4 lay a face on one jaw; the corner opposite touches the other. Rounded corners make this reading shorter.',
    'Do this with three dice of different size when you begin, then with one die each month, and whenever the printer, the paper or the camera changes.',
    'Write down date, instrument, and who read it.',
  ],
  columns: ['Date', 'Die', 'Axis', '1st', '2nd', '3rd', 'Mean'],
};

const de: typeof en = {
  heading: 'Messmittel prüfen',
  about:
    'Messen Sie denselben Würfel mit Messschieber oder Messschraube, am besten nach einem Endmaß bekannter Größe. Beide stimmen überein, wo sie sich um nicht mehr unterscheiden als ihre Unsicherheiten zusammen.',
  noDie: 'Dafür ist ein gemessener Würfel nötig: Messen Sie einen, oder öffnen Sie einen aus dem Regal.',
  instrument: 'Messmittel',
  instrumentHint: 'etwa: Messschraube, 0,001 mm',
  u95: 'Seine U95',
  u95About:
    'Bei einem Messschieber meist 0,03 mm, bei einer Messschraube 0,004 mm (übliche Praxis, keine veröffentlichte Quelle).',
  axis: 'Achse',
  reading: 'Ablesung',
  photos: 'Aus Fotos',
  difference: 'Unterschied',
  en: 'Eₙ',
  zeta: 'ζ',
  verdict: 'Urteil',
  agrees: 'stimmt überein',
  disagrees: 'stimmt nicht überein',
  wrong: 'Eine Länge zwischen 1 und 200 mm.',
  keep: 'Diese Ablesungen aufbewahren',
  kept: 'Aufbewahrt. Sie stehen unten im Verlauf und im Bericht.',
  all: (n, of) => `${n} von ${of} Ablesungen stimmen innerhalb der Unsicherheiten überein (|Eₙ| höchstens 1).`,
  scores:
    'Eₙ ist der Unterschied geteilt durch die erweiterten Unsicherheiten beider zusammen (ISO/IEC 17043); ζ dasselbe mit den Standardunsicherheiten (ISO 13528): bis 2 zufriedenstellend, ab 3 nicht zufriedenstellend.',
  grade: {
    satisfactory: 'zufriedenstellend',
    questionable: 'fraglich',
    unsatisfactory: 'nicht zufriedenstellend',
  },
  chart: 'Im Verlauf',
  chartAbout:
    'Jede aufbewahrte Ablesung mit ihrem Eₙ. Zwischen den gestrichelten Linien stimmen beide Messmittel überein.',
  chartNone: 'Noch nichts aufbewahrt.',
  mean: (en, n) =>
    `Mittleres Eₙ ${en} über ${n} Ablesungen. Ein Mittel, das auf einer Seite bleibt, weist auf einen Maßstab oder ein Messmittel, das abweicht.`,
  remove: 'Entfernen',
  removeOf: (name) => `Die Ablesungen von ${name} entfernen`,
  protocol: 'Anleitung',
  print: 'Drucken',
  steps: [
    'Reinigen Sie Würfel und Messflächen. Lassen Sie beide eine halbe Stunde nebeneinander liegen, damit sie gleich warm sind.',
    'Schließen Sie die Messflächen und notieren Sie den Nullpunkt. Messen Sie, wenn vorhanden, ein Endmaß oder eine Kugel bekannter Größe, und notieren Sie auch das.',
    'Halten Sie den Würfel so, dass zwei gegenüberliegende Flächen eben in der Mitte der Messflächen liegen, nicht auf einer Kante und nicht auf einer erhabenen Zahl.',
    'Schließen Sie mit der Ratsche, oder mit einem Finger und immer gleich. Drehen Sie den Würfel ein wenig, bis die Ablesung am kleinsten ist.',
    'Lesen Sie jede Achse dreimal ab, nehmen Sie den Würfel dazwischen heraus, und schreiben Sie das Mittel auf.',
    'Beim d4 liegt eine Fläche auf der einen Messfläche, die Ecke gegenüber berührt die andere. Runde Ecken machen diese Ablesung kürzer.',
    'Tun Sie das am Anfang mit drei Würfeln verschiedener Größe, dann jeden Monat mit einem, und immer, wenn Drucker, Papier oder Kamera wechseln.',
    'Schreiben Sie Datum, Messmittel und Namen auf.',
  ],
  columns: ['Datum', 'Würfel', 'Achse', '1.', '2.', '3.', 'Mittel'],
};

export const CHECK_WORDS: Catalogue<typeof en> = { en, de };
