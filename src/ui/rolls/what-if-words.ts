import type { StackCheck } from '../../bias/meaning/stack.ts';
import type { ComparisonCode } from '../../bias/meaning/what-if.ts';
import type { Catalogue } from '../kit/catalogue.ts';
import type { WorkerFailure } from '../kit/worker-client.ts';

type StackVerdict = NonNullable<StackCheck['verdict']>;
type Texts<K extends string> = Readonly<Record<K, string>>;

const en = {
  whatIf: {
    heading: 'What if',
    about: 'Change a length and see what the rolls would do. Nothing here changes the measured result.',
    lengths: 'Lengths',
    rounding: 'Rounding',
    flaws: 'Flaws',
    axis: (name: string) => `Axis ${name}`,
    face: (name: string) => `Face ${name}, twice its distance`,
    radius: 'All corner radii, of measured',
    corner: 'A single corner',
    cornerRadius: (name: string) => `Radius of corner ${name}`,
    edge: 'A single edge',
    edgeRadius: (name: string) => `Radius of edge ${name}`,
    crown: 'A crowned face',
    crownHeight: 'Middle above the rim',
    markOn: 'A gate mark on face',
    none: 'none',
    markHeight: 'Height of the mark',
    markWidth: 'Width of its foot',
    markX: "Place: towards the face's farthest corner",
    markY: 'Place: across',
    trim: 'A trimmed edge',
    trimDepth: 'Cut below the rounding',
    massTo: 'Centre of mass moved towards face',
    massBy: 'Moved by',
    reset: 'Back to measured',
    confirm: 'Confirm by throwing',
    impossible: (why: string) => `This die is impossible: ${why}.`,
    wrong: 'A number is needed.',
    unchanged: 'As measured: nothing is changed yet.',
    most: (name: string, change: string, more: boolean) =>
      `Largest change: ${name} comes up ${change} ${more ? 'more' : 'less'} often than as measured.`,
    reference: 'as measured',
    title: 'Chance of each number, as changed',
  },

  compare: {
    heading: 'Arguments side by side',
    about:
      'Each flaw on this die against the same die without it: the number whose chance changes most, and what becomes of the mean roll.',
    flaw: 'Flaw',
    number: 'Number',
    without: 'Without',
    with: 'With',
    change: 'Change',
    mean: 'Mean roll changes by',
    rolls: 'Rolls to notice',
    flaws: {
      mark: 'gate mark against none',
      'short-axis': 'one axis 0.5 % short against none',
      tumbled: 'rounded as it is against sharp',
      mass: 'mass 0.1 mm off against centred',
      crown: 'crowned face against flat',
      trim: 'trimmed edge against none',
    } as Texts<ComparisonCode>,
    show: 'Side by side',
    with_: (flaw: string) => `Chance of each number, ${flaw}`,
    reference: 'without',
    throwBoth: 'Throw both',
    thrown: (side: string, name: string, chance: string, time: string, path: string, throws: string) =>
      `${side}: ${name} comes up ${chance}; tumbles ${time} and ${path} (${throws} throws).`,
    beyond: 'One of the two lies beyond what at-once chances serve: throw both.',
  },

  stack: {
    heading: 'Stack check',
    about:
      'Stack dice alike with one axis upright, press the stack, measure it; then with another axis. Copies of the measured die are assumed.',
    none: 'A d4 has no opposite faces: it cannot be stacked.',
    dice: 'Dice in the stack',
    first: 'Axis upright',
    second: 'against axis',
    height: (axis: string) => `Measured height, ${axis}`,
    u: 'Standard uncertainty of a reading',
    spread: 'Spread from die to die',
    predicted: (axis: string, height: string) => `${axis} upright: ${height}`,
    difference: (value: string) => `Difference: ${value}`,
    verdict: {
      agree: 'Agree: the measured difference lies within the doubt of the predicted one, and is not explained by none.',
      disagree:
        'Disagree: the measured difference lies outside the doubt. Another die, a burr between dice, or a wrong reading?',
      'cannot-tell': 'Cannot tell: the difference is smaller than the doubt. More dice or a finer reading would help.',
    } as Texts<StackVerdict>,
    both: 'Type both heights to have them compared.',
  },

  stopped: (why: WorkerFailure): string => {
    switch (why.code) {
      case 'cancelled':
        return 'Cancelled.';
      case 'worker-outdated':
        return 'This page is newer than a part of it that the browser kept. Load the page again.';
      case 'no-workers':
        return 'This browser starts no workers here, and dice are thrown in them. Open the page in another browser.';
      case 'worker-stopped':
        return 'The work stopped by itself. Entries are still here; start it again.';
    }
  },
};

const de: typeof en = {
  whatIf: {
    heading: 'Was wäre wenn',
    about: 'Ändern Sie eine Länge und sehen Sie, was die Würfe täten. Das gemessene Ergebnis bleibt, wie es ist.',
    lengths: 'Längen',
    rounding: 'Rundung',
    flaws: 'Fehler',
    axis: (name) => `Achse ${name}`,
    face: (name) => `Fläche ${name}, doppelter Abstand`,
    radius: 'Alle Eckenradien, vom gemessenen',
    corner: 'Eine einzelne Ecke',
    cornerRadius: (name) => `Radius der Ecke ${name}`,
    edge: 'Eine einzelne Kante',
    edgeRadius: (name) => `Radius der Kante ${name}`,
    crown: 'Eine gewölbte Fläche',
    crownHeight: 'Mitte über dem Rand',
    markOn: 'Ein Angussrest auf Fläche',
    none: 'keine',
    markHeight: 'Höhe des Angussrests',
    markWidth: 'Breite am Fuß',
    markX: 'Ort: zur fernsten Ecke der Fläche',
    markY: 'Ort: quer dazu',
    trim: 'Eine beschnittene Kante',
    trimDepth: 'Schnitt unter der Rundung',
    massTo: 'Schwerpunkt verschoben zu Fläche',
    massBy: 'Verschoben um',
    reset: 'Zurück zum Gemessenen',
    confirm: 'Durchwerfen',
    impossible: (why) => `Diesen Würfel kann es nicht geben: ${why}.`,
    wrong: 'Eine Zahl wird gebraucht.',
    unchanged: 'Wie gemessen: Noch ist nichts geändert.',
    most: (name, change, more) =>
      `Größte Änderung: ${name} kommt ${change} ${more ? 'häufiger' : 'seltener'} als wie gemessen.`,
    reference: 'wie gemessen',
    title: 'Chance jeder Zahl, wie geändert',
  },

  compare: {
    heading: 'Streitfragen nebeneinander',
    about:
      'Jeder Fehler an diesem Würfel gegen denselben Würfel ohne ihn: die Zahl, deren Chance sich am meisten ändert, und was aus dem mittleren Wurf wird.',
    flaw: 'Fehler',
    number: 'Zahl',
    without: 'Ohne',
    with: 'Mit',
    change: 'Änderung',
    mean: 'Mittlerer Wurf ändert sich um',
    rolls: 'Würfe bis zum Bemerken',
    flaws: {
      mark: 'Angussrest gegen keinen',
      'short-axis': 'eine Achse 0,5 % kurz gegen keine',
      tumbled: 'gerundet, wie er ist, gegen scharfkantig',
      mass: 'Schwerpunkt 0,1 mm daneben gegen mittig',
      crown: 'gewölbte Fläche gegen ebene',
      trim: 'beschnittene Kante gegen keine',
    },
    show: 'Nebeneinander',
    with_: (flaw) => `Chance jeder Zahl, ${flaw}`,
    reference: 'ohne',
    throwBoth: 'Beide werfen',
    thrown: (side, name, chance, time, path, throws) =>
      `${side}: ${name} kommt in ${chance}; rollt ${time} und ${path} (${throws} Würfe).`,
    beyond: 'Einer der beiden liegt außerhalb dessen, wofür die Sofortrechnung taugt: Werfen Sie beide.',
  },

  stack: {
    heading: 'Stapelprobe',
    about:
      'Gleiche Würfel mit einer Achse aufrecht stapeln, zusammendrücken, messen; dann mit einer anderen Achse. Angenommen sind Abgüsse des gemessenen Würfels.',
    none: 'Ein d4 hat keine gegenüberliegenden Flächen: Er lässt sich nicht stapeln.',
    dice: 'Würfel im Stapel',
    first: 'Achse aufrecht',
    second: 'gegen Achse',
    height: (axis) => `Gemessene Höhe, ${axis}`,
    u: 'Standardunsicherheit einer Ablesung',
    spread: 'Streuung von Würfel zu Würfel',
    predicted: (axis, height) => `${axis} aufrecht: ${height}`,
    difference: (value) => `Unterschied: ${value}`,
    verdict: {
      agree:
        'Passt: Der gemessene Unterschied liegt innerhalb der Unsicherheit des vorhergesagten; gäbe es keinen, wäre er nicht zu erklären.',
      disagree:
        'Passt nicht: Der gemessene Unterschied liegt außerhalb der Unsicherheit. Ein anderer Würfel, ein Grat dazwischen oder falsch abgelesen?',
      'cannot-tell':
        'Nicht zu sagen: Der Unterschied ist kleiner als die Unsicherheit. Mehr Würfel oder feineres Ablesen würde helfen.',
    },
    both: 'Geben Sie beide Höhen ein, damit sie verglichen werden.',
  },

  stopped: (why) => {
    switch (why.code) {
      case 'cancelled':
        return 'Abgebrochen.';
      case 'worker-outdated':
        return 'Diese Seite ist neuer als ein Teil von ihr, den der Browser behalten hat. Laden Sie sie neu.';
      case 'no-workers':
        return 'Dieser Browser startet hier keine Worker, und in solchen wird gewürfelt. Öffnen Sie die Seite in einem anderen Browser.';
      case 'worker-stopped':
        return 'Die Arbeit ist von selbst stehen geblieben. Die Eingaben sind noch da; starten Sie noch einmal.';
    }
  },
};

/** Words of what is tried out: another shape, other dice, a stack of it. */
export const WHAT_IF_WORDS: Catalogue<typeof en> = { en, de };
